// What was typed is kept on this phone first and sent when the workshop computer can be reached.
// The queue holds facts, not requests; each has an id of its own, so that sending it twice stores it once.
(function () {
  "use strict";
  const NAME = "second-wind-outbox", VERSION = 2, STORE = "items", NOTES = "notes", CHUNK = 25, TIMER_MS = 15000, KEPT_SENT = 60;
  const user = Number(document.documentElement.dataset.user || 0);
  const api = document.documentElement.dataset.api || "/api/v1/";
  const listeners = [];
  let opened = null, running = null, again = false, counting = null, stale = false;
  let state = { known: false, waiting: 0, refused: 0, others: 0, trouble: "", storage: true };

  function newId() {
    const b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 0x0f) | 0x40;
    b[8] = (b[8] & 0x3f) | 0x80;
    const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  // "queue" finds the next ones to send and counts a state without reading any; "seq" finds the last one that was saved.
  function shape(request) {
    const db = request.result;
    const items = db.objectStoreNames.contains(STORE) ? request.transaction.objectStore(STORE) : db.createObjectStore(STORE, { keyPath: "id" });
    const indexes = { state: "state", queue: ["state", "user", "seq"], seq: "seq" };
    for (const [name, path] of Object.entries(indexes)) if (!items.indexNames.contains(name)) items.createIndex(name, path);
    if (!db.objectStoreNames.contains(NOTES)) db.createObjectStore(NOTES, { keyPath: "key" });
  }

  function open() {
    if (!opened) {
      opened = new Promise((resolve, reject) => {
        const request = indexedDB.open(NAME, VERSION);
        request.onupgradeneeded = () => shape(request);
        request.onsuccess = () => {
          const db = request.result;
          db.onversionchange = () => { db.close(); opened = null; };
          db.onclose = () => { opened = null; };
          resolve(db);
        };
        request.onerror = () => reject(request.error);
        request.onblocked = () => reject(new Error("blocked"));
      });
      opened.catch(() => { opened = null; });
    }
    return opened;
  }

  async function change(work) {
    const db = await open();
    return new Promise((resolve, reject) => {
      const transaction = db.transaction([STORE, NOTES], "readwrite", { durability: "strict" });
      transaction.oncomplete = () => resolve();
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
      work(transaction.objectStore(STORE), transaction.objectStore(NOTES));
    });
  }

  async function read(work, name = STORE) {
    const db = await open();
    return new Promise((resolve, reject) => {
      const request = work(db.transaction(name).objectStore(name));
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
  }

  const within = (...start) => IDBKeyRange.bound(start, [...start, []]);  // a list sorts behind every number and word
  const get = (id) => read((store) => store.get(id));
  const all = () => read((store) => store.index("seq").getAll());
  const count = (name) => read((store) => store.index("queue").count(within(name)));
  const first = (range, most) => read((store) => store.index("queue").getAll(range, most));

  // The newest of a state, and how many there are.
  async function newest(name, most) {
    const db = await open(), found = [];
    await new Promise((resolve, reject) => {
      const request = db.transaction(STORE).objectStore(STORE).index("queue").openCursor(within(name), "prev");
      request.onsuccess = () => {
        const cursor = request.result;
        if (!cursor || found.length >= most) { resolve(); return; }
        found.push(cursor.value);
        cursor.continue();
      };
      request.onerror = () => reject(request.error);
    });
    return { items: found, count: await count(name) };
  }

  // What this log-in saved and a page of that time cannot show: not sent yet, or stored after it. Oldest first; what was refused does not count.
  async function since(printed) {
    const found = await Promise.all(["waiting", "sent"].map((name) => newest(name, KEPT_SENT)));
    const isNew = (item) => item.user === user && (!item.answer || new Date(item.answer.received_at) > printed);
    return found.flatMap(({ items }) => items).filter(isNew).sort((a, b) => a.seq - b.seq).map((item) => item.fact);
  }

  // What is known on this phone only, such as a run that was started here: one row a key, beside the queue.
  const noteKey = (rest) => `${user}/${rest}`;
  const notes = (start) => read((store) => store.getAll(IDBKeyRange.bound(noteKey(start), noteKey(start) + "\uffff")), NOTES);
  const note = (key, value) => change((_, box) => box.put({ ...value, key: noteKey(key) }));
  const forget = (keys) => change((_, box) => keys.forEach((key) => box.delete(key)));

  async function recount() {
    try {
      const [refused, waiting] = await Promise.all([count("refused"), count("waiting")]);
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

  function listen(listener) { listeners.push(listener); listener(state); }

  // In the order of the presses, whatever the clock says: a signature is sent before the run that needs it.
  function add(box, items) {
    const last = box.index("seq").openKeyCursor(null, "prev");
    last.onsuccess = () => {
      const start = Math.max(last.result ? last.result.key + 1 : 0, Date.now());
      items.forEach((item, i) => { item.seq = start + i; box.add(item); });
    };
  }

  // One row: fact is what the intake takes, label what the list shows.
  // more.blob: a photo. more.note: a key under which the phone knows of it at once, and later of the answer.
  function rowOf(fact, label, more = {}) {
    const item = { id: fact.id, user, seq: 0, state: "waiting", label, fact: { ...fact, made_at: new Date().toISOString() } };
    if (more.blob) item.blob = more.blob;
    if (more.note) item.note = noteKey(more.note);
    return item;
  }

  // Resolves once the phone has all of them, or none; then they are sent.
  async function keep(items) {
    try {
      await change((box, beside) => {
        add(box, items);
        for (const item of items) if (item.note) beside.put({ key: item.note, id: item.id, at: item.fact.made_at, fact: item.fact });
      });
    } catch (error) {
      if (error && error.name === "ConstraintError") return { kept: true };
      await tell({ storage: false });
      return { kept: false, answers: await direct(items) };
    }
    setTimeout(() => tell().then(flush));  // what was saved is shown first
    return { kept: true };
  }

  async function save(fact, label, more) {
    const item = rowOf(fact, label, more), { kept, answers } = await keep([item]);
    return { kept, item, answer: answers && answers[0] };
  }

  // Several at one press: [[fact, label], ...]; one answer each where the phone keeps nothing.
  const saveAll = (rows) => keep(rows.map(([fact, label]) => rowOf(fact, label)));

  // Without storage there is no queue: it is sent at once, and the caller keeps what was typed when that fails.
  async function direct(items) {
    try {
      const answers = await send(await whoami(), items);
      if (answers.length !== items.length) throw trouble("The workshop computer did not answer for each entry.");
      return answers;
    } catch (error) {
      const reason = error.told || "The workshop computer cannot be reached, and this phone refuses to keep anything.";
      return items.map(() => ({ state: "failed", reason }));
    }
  }

  function trouble(told, status) { const error = new Error(told); error.told = told; error.status = status; return error; }

  async function whoami() {
    const answer = await fetch(api + "me", { cache: "no-store", credentials: "same-origin", headers: { Accept: "application/json" } });
    if (answer.status === 401 || answer.status === 403) throw trouble("log in", answer.status);
    if (!answer.ok) throw trouble(`The workshop computer answered ${answer.status}.`, answer.status);
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
    if (answer.status === 401 || answer.status === 403) throw trouble("log in", answer.status);
    const told = await answer.json();
    if (!answer.ok) throw trouble(typeof told.detail === "string" ? told.detail : `The workshop computer answered ${answer.status}.`, answer.status);
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
    if (!Array.isArray(answers) || answers.length !== items.length) throw trouble("The workshop computer did not answer for each entry.");
    await change((box, beside) => items.forEach((item, i) => {
      const answer = answers[i], next = { ...item, state: answer.state === "stored" ? "sent" : "refused", answer };
      if (answer.state === "stored") delete next.blob;
      box.put(next);
      if (item.note) about(beside, item, (known) => ({ ...known, answer }));
    }));
    await prune();
  }

  function about(beside, item, next) {
    const known = beside.get(item.note);
    known.onsuccess = () => { if (known.result && known.result.id === item.id) beside.put(next(known.result)); };
  }

  async function prune() {
    const over = (await count("sent")) - KEPT_SENT;
    if (over <= 0) return;
    const old = await first(within("sent"), over);
    await change((box) => old.forEach((item) => box.delete(item.id)));
  }

  // The oldest of this log-in's own; a photo goes alone.
  async function batch(owner) {
    const found = await first(within("waiting", owner), CHUNK);
    const photo = found.findIndex((item) => item.blob);
    return photo < 0 ? found : found.slice(0, Math.max(1, photo));
  }

  async function round() {
    if (!(await count("waiting"))) return tell({ trouble: "", others: 0 });
    const me = await whoami();
    for (let items = await batch(me.user); items.length; items = await batch(me.user)) {
      await store(items, await sendOrSplit(me, items));
      await tell({ trouble: "" });
    }
    await tell({ trouble: "", others: await count("waiting") });
  }

  async function rounds() {
    try {
      do { again = false; await round(); } while (again);
    } catch (error) {
      await tell({ trouble: error.told || "no network" });
    } finally {
      running = null;
    }
  }

  // One at a time; who asks meanwhile gets another round after this one.
  function flush() {
    if (running) again = true;
    else running = rounds();
    return running;
  }

  async function moveAll(ids, name) {
    await change((box, beside) => ids.forEach((id) => {
      const known = box.get(id);
      known.onsuccess = () => {
        if (!known.result) return;
        box.put({ ...known.result, state: name });
        if (known.result.note && name === "waiting") about(beside, known.result, ({ answer, ...rest }) => rest);
      };
    }));
    await tell();
  }
  const move = (id, name) => moveAll([id], name);
  const retry = (id) => move(id, "waiting").then(flush);

  async function retryAll() {
    const { items } = await newest("refused", Infinity);
    await moveAll(items.filter((item) => item.user === user).map((item) => item.id), "waiting");
    return flush();
  }

  async function watch() {
    await tell();
    flush();
    window.addEventListener("online", flush);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
    setInterval(() => { if (state.waiting) flush(); }, TIMER_MS);
  }

  window.Outbox = { save, saveAll, all, newest, since, get, listen, flush, retry, retryAll, move, newId, watch, notes, note, forget, user };
})();
