// What was typed is kept on this phone first and sent when the workshop computer can be reached.
// The queue holds facts, not requests; each has an id of its own, so that sending it twice stores it once.
import { allItems, change, countOf, itemOf, newestOf, notesUnder, oldestOf } from "./store.js";
import { say } from "./words.js";

export { allItems, itemOf, newestOf };

const CHUNK = 25, TIMER_MS = 15000, KEPT_SENT = 60;
export const USER = Number(document.documentElement.dataset.user || 0);
const api = document.documentElement.dataset.api || "/api/v1/";
const listeners = [];
let running = null, again = false, counting = null, stale = false;
let state = { known: false, waiting: 0, refused: 0, others: 0, trouble: "", storage: true };

export function newId() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6] & 0x0f) | 0x40;
  b[8] = (b[8] & 0x3f) | 0x80;
  const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

// What this log-in saved and a page of that time cannot show: not sent yet, or stored after it. Oldest first; what was refused does not count.
export async function savedSince(printed) {
  const found = await Promise.all(["waiting", "sent"].map((name) => newestOf(name, KEPT_SENT)));
  const isNew = (item) => item.user === USER && (!item.answer || new Date(item.answer.received_at) > printed);
  return found.flatMap(({ items }) => items).filter(isNew).sort((a, b) => a.seq - b.seq).map((item) => item.fact);
}

// What is known on this phone only, such as a run that was started here: one row a key, beside the queue.
const noteKey = (rest) => `${USER}/${rest}`;
export const notesOf = (start) => notesUnder(noteKey(start));
export const putNote = (key, value) => change((_, notes) => notes.put({ ...value, key: noteKey(key) }));
export const dropNotes = (keys) => change((_, notes) => Promise.all(keys.map((key) => notes.delete(key))));

async function recount() {
  try {
    const [refused, waiting] = await Promise.all(["refused", "waiting"].map(countOf));
    Object.assign(state, { known: true, waiting, refused, storage: true });
  } catch {
    state.storage = false;
  }
  listeners.forEach((listener) => listener(state));
}

// Counted at most once at a time, however many were saved meanwhile.
function tell(more) {
  state = { ...state, ...more };
  stale = true;
  counting ||= (async () => {
    while (stale) { stale = false; await recount(); }
    counting = null;
  })();
  return counting;
}

export function onChange(listener) { listeners.push(listener); listener(state); }

// In the order of the presses, whatever the clock says: a signature is sent before the run that needs it.
async function add(box, items) {
  const last = await box.index("seq").openKeyCursor(null, "prev");
  const start = Math.max(last ? last.key + 1 : 0, Date.now());
  await Promise.all(items.map((item, i) => box.add(Object.assign(item, { seq: start + i }))));
}

// One row: fact is what the intake takes, label what the list shows.
// more.blob: a photo. more.note: a key under which the phone knows of it at once, and later of the answer.
function rowOf(fact, label, more = {}) {
  const item = { id: fact.id, user: USER, seq: 0, state: "waiting", label, fact: { ...fact, made_at: new Date().toISOString() } };
  if (more.blob) item.blob = more.blob;
  if (more.note) item.note = noteKey(more.note);
  return item;
}

// Resolves once the phone has all of them, or none; then they are sent.
async function keep(items) {
  try {
    const known = items.filter((item) => item.note).map((item) => ({ key: item.note, id: item.id, at: item.fact.made_at, fact: item.fact }));
    await change((box, notes) => Promise.all([add(box, items), ...known.map((note) => notes.put(note))]));
  } catch (error) {
    if (error && error.name === "ConstraintError") return { kept: true };
    await tell({ storage: false });
    return { kept: false, answers: await direct(items) };
  }
  setTimeout(() => tell().then(flush));  // what was saved is shown first
  return { kept: true };
}

export async function saveFact(fact, label, more) {
  const item = rowOf(fact, label, more), { kept, answers } = await keep([item]);
  return { kept, item, answer: answers && answers[0] };
}

// Several at one press: [[fact, label], ...]; one answer each where the phone keeps nothing.
export const saveFacts = (rows) => keep(rows.map(([fact, label]) => rowOf(fact, label)));

// Without storage there is no queue: it is sent at once, and the caller keeps what was typed when that fails.
async function direct(items) {
  try {
    const answers = await send(await whoami(), items);
    if (answers.length !== items.length) throw trouble(say("phone.answers_missing"));
    return answers;
  } catch (error) {
    const reason = error.told || say("phone.nothing_reached");
    return items.map(() => ({ state: "failed", reason }));
  }
}

function trouble(told, status) { const error = new Error(told); error.told = told; error.status = status; return error; }

async function whoami() {
  const answer = await fetch(api + "me", { cache: "no-store", credentials: "same-origin", headers: { Accept: "application/json" } });
  if (answer.status === 401 || answer.status === 403) throw trouble("log_in", answer.status);
  if (!answer.ok) throw trouble(say("phone.answered", { status: answer.status }), answer.status);
  return answer.json();
}

async function send(me, items) {
  const headers = { "X-CSRFToken": me.csrf_token, Accept: "application/json" };
  const sent_at = new Date().toISOString();
  let request;
  if (items[0].blob) {
    const form = new FormData();
    Object.entries({ ...items[0].fact, sent_at }).forEach(([name, value]) => { if (name !== "kind") form.append(name, value); });
    form.append("image", items[0].blob, `photo.${items[0].blob.type.split("/")[1] || "jpg"}`);
    request = fetch(api + "photos", { method: "POST", headers, body: form, credentials: "same-origin" });
  } else {
    headers["Content-Type"] = "application/json";
    request = fetch(api + "entries", { method: "POST", headers, body: JSON.stringify({ sent_at, items: items.map((i) => i.fact) }), credentials: "same-origin" });
  }
  const answer = await request;
  if (answer.status === 401 || answer.status === 403) throw trouble("log_in", answer.status);
  const told = await answer.json();
  if (!answer.ok) throw trouble(typeof told.detail === "string" ? told.detail : say("phone.answered", { status: answer.status }), answer.status);
  return items[0].blob ? [told] : told.answers;
}

// A batch that is refused as a whole is sent one by one, so that one bad item does not hold up the others.
async function sendOrSplit(me, items) {
  try {
    return await send(me, items);
  } catch (error) {
    if (![400, 413, 422].includes(error.status)) throw error;
    if (items.length === 1) return [{ state: "refused", reason: error.told }];
    const answers = [];
    for (const item of items) answers.push(...(await sendOrSplit(me, [item])));
    return answers;
  }
}

async function store(items, answers) {
  if (!Array.isArray(answers) || answers.length !== items.length) throw trouble(say("phone.answers_missing"));
  await change((box, notes) => Promise.all(items.map(async (item, i) => {
    const answer = answers[i], next = { ...item, state: answer.state === "stored" ? "sent" : "refused", answer };
    if (answer.state === "stored") delete next.blob;
    await box.put(next);
    await renote(notes, item, (known) => ({ ...known, answer }));
  })));
  await prune();
}

async function renote(notes, item, next) {
  const known = item.note && (await notes.get(item.note));
  if (known && known.id === item.id) await notes.put(next(known));
}

async function prune() {
  const over = (await countOf("sent")) - KEPT_SENT;
  if (over <= 0) return;
  const old = await oldestOf(["sent"], over);
  await change((box) => Promise.all(old.map((item) => box.delete(item.id))));
}

// The oldest of this log-in's own; a photo goes alone.
async function batch(owner) {
  const found = await oldestOf(["waiting", owner], CHUNK);
  const photo = found.findIndex((item) => item.blob);
  return photo < 0 ? found : found.slice(0, Math.max(1, photo));
}

async function round() {
  if (!(await countOf("waiting"))) return tell({ trouble: "", others: 0 });
  const me = await whoami();
  for (let items = await batch(me.user); items.length; items = await batch(me.user)) {
    await store(items, await sendOrSplit(me, items));
    await tell({ trouble: "" });
  }
  await tell({ trouble: "", others: await countOf("waiting") });
}

async function rounds() {
  try {
    do { again = false; await round(); } while (again);
  } catch (error) {
    await tell({ trouble: error.told || "no_network" });
  } finally {
    running = null;
  }
}

// One at a time; who asks meanwhile gets another round after this one.
export function flush() {
  if (running) again = true;
  else running = rounds();
  return running;
}

async function moveAll(ids, name) {
  await change((box, notes) => Promise.all(ids.map(async (id) => {
    const item = await box.get(id);
    if (!item) return;
    await box.put({ ...item, state: name });
    if (name === "waiting") await renote(notes, item, ({ answer, ...rest }) => rest);
  })));
  await tell();
}
export const moveTo = (id, name) => moveAll([id], name);
export const retry = (id) => moveTo(id, "waiting").then(flush);

export async function retryAll() {
  const { items } = await newestOf("refused", Infinity);
  await moveAll(items.filter((item) => item.user === USER).map((item) => item.id), "waiting");
  return flush();
}

export async function watch() {
  await tell();
  flush();
  window.addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
  setInterval(() => { if (state.waiting) flush(); }, TIMER_MS);
}
