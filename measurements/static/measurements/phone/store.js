// The phone's own database: what was typed, one row each, and notes beside it. What is changed is on disk before it counts.
import { openDB } from "idb";

const NAME = "second-wind-outbox", VERSION = 2, ITEMS = "items", NOTES = "notes";
let opened = null;

// "queue" finds the next ones to send and counts a state without reading any; "seq" finds the last one that was saved.
function shape(db, was, will, transaction) {
  const items = db.objectStoreNames.contains(ITEMS) ? transaction.objectStore(ITEMS) : db.createObjectStore(ITEMS, { keyPath: "id" });
  const indexes = { state: "state", queue: ["state", "user", "seq"], seq: "seq" };
  for (const [name, path] of Object.entries(indexes)) if (!items.indexNames.contains(name)) items.createIndex(name, path);
  if (!db.objectStoreNames.contains(NOTES)) db.createObjectStore(NOTES, { keyPath: "key" });
}

function open() {
  if (!opened) {
    const closed = () => { opened = null; };
    opened = new Promise((resolve, reject) => {
      const blocking = (was, will, event) => { event.target.close(); closed(); };
      openDB(NAME, VERSION, { upgrade: shape, blocked: () => reject(new Error("blocked")), blocking, terminated: closed }).then(resolve, reject);
    });
    opened.catch(closed);
  }
  return opened;
}

// work(items, notes) returns a promise of all that it asked for; all of it is kept, or nothing.
export async function change(work) {
  const db = await open(), transaction = db.transaction([ITEMS, NOTES], "readwrite", { durability: "strict" });
  await Promise.all([work(transaction.objectStore(ITEMS), transaction.objectStore(NOTES)), transaction.done]);
}

const within = (...start) => IDBKeyRange.bound(start, [...start, []]);  // a list sorts behind every number and word
export const itemOf = async (id) => (await open()).get(ITEMS, id);
export const allItems = async () => (await open()).getAllFromIndex(ITEMS, "seq");
export const countOf = async (state) => (await open()).countFromIndex(ITEMS, "queue", within(state));
export const oldestOf = async (start, most) => (await open()).getAllFromIndex(ITEMS, "queue", within(...start), most);
export const notesUnder = async (key) => (await open()).getAll(NOTES, IDBKeyRange.bound(key, key + "\uffff"));

// The newest of a state, and how many there are.
export async function newestOf(state, most) {
  const items = [];
  let cursor = await (await open()).transaction(ITEMS).store.index("queue").openCursor(within(state), "prev");
  while (cursor && items.length < most) {
    items.push(cursor.value);
    cursor = await cursor.continue();
  }
  return { items, count: await countOf(state) };
}
