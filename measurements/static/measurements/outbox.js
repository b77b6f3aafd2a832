// What was typed is kept on this phone first and sent when the workshop computer can be reached.
// The queue holds facts, not requests; each has an id of its own, so that sending it twice stores it once.
(function () {
  "use strict";
  const NAME = "second-wind-outbox", STORE = "items", CHUNK = 25, TIMER_MS = 15000, KEPT_SENT = 60;
  const user = Number(document.documentElement.dataset.user || 0);
  const api = document.documentElement.dataset.api || "/api/";
  const listeners = [];
  let opened = null, running = null, again = false, seq = 0;
  let state = { known: false, waiting: 0, refused: 0, others: 0, trouble: "", storage: true };

  function newId() {
    const b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 0x0f) | 0x40;
    b[8] = (b[8] & 0x3f) | 0x80;
    const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  function open() {
    if (!opened) {
      opened = new Promise((resolve, reject) => {
        const request = indexedDB.open(NAME, 1);
        request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "id" }).createIndex("state", "state");
        request.onsuccess = () => resolve(request.result);
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
      const transaction = db.transaction(STORE, "readwrite", { durability: "strict" });
      transaction.oncomplete = () => resolve();
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
      work(transaction.objectStore(STORE));
    });
  }

  async function read(work) {
    const db = await open();
    return new Promise((resolve, reject) => {
      const request = work(db.transaction(STORE).objectStore(STORE));
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
  }

  const byAge = (a, b) => a.seq - b.seq || (a.id < b.id ? -1 : 1);
  const get = (id) => read((store) => store.get(id));
  const all = async () => (await read((store) => store.getAll())).sort(byAge);
  const inState = async (name) => (await read((store) => store.index("state").getAll(name))).sort(byAge);
  const count = (name) => read((store) => store.index("state").count(name));

  async function tell(more) {
    try {
      const [refused, waiting] = await Promise.all([count("refused"), count("waiting")]);
      state = { ...state, known: true, waiting, refused, storage: true, ...more };
    } catch {
      state = { ...state, storage: false, ...more };
    }
    listeners.forEach((listener) => listener(state));
  }

  function listen(listener) { listeners.push(listener); listener(state); }

  // Resolves once the phone has it; then it is sent. `fact` is what the intake takes; `label` is what the list shows.
  async function save(fact, label, blob) {
    seq = Math.max(seq + 1, Date.now());
    const item = { id: fact.id, user, seq, state: "waiting", label, fact: { ...fact, made_at: new Date().toISOString() } };
    if (blob) item.blob = blob;
    try {
      await change((store) => store.add(item));
    } catch (error) {
      if (error && error.name === "ConstraintError") return { kept: true, item };
      await tell({ storage: false });
      return { kept: false, item, answer: await direct(item) };
    }
    setTimeout(() => tell().then(flush));  // what was saved is shown first
    return { kept: true, item };
  }

  // Without storage there is no queue: it is sent at once, and the caller keeps what was typed when that fails.
  async function direct(item) {
    try {
      const me = await whoami();
      return (await send(me, [item]))[0];
    } catch (error) {
      return { state: "failed", reason: error.told || "The workshop computer cannot be reached, and this phone refuses to keep anything." };
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
    await change((box) => items.forEach((item, i) => {
      const answer = answers[i];
      const next = { ...item, state: answer.state === "stored" ? "sent" : "refused", answer, seen_at: Date.now() };
      delete next.blob;
      box.put(answer.state === "stored" ? next : { ...item, state: "refused", answer });
    }));
  }

  async function prune() {
    const sent = await inState("sent");
    if (sent.length > KEPT_SENT) await change((box) => sent.slice(0, sent.length - KEPT_SENT).forEach((i) => box.delete(i.id)));
  }

  function chunks(items) {
    const found = [];
    for (const item of items) {
      const last = found[found.length - 1];
      if (item.blob || !last || last.length >= CHUNK || last[0].blob) found.push([item]);
      else last.push(item);
    }
    return found;
  }

  async function round() {
    const waiting = await inState("waiting");
    if (!waiting.length) return tell({ trouble: "" });
    const me = await whoami();
    const own = waiting.filter((item) => item.user === me.user);
    await tell({ others: waiting.length - own.length });
    for (const items of chunks(own)) {
      await store(items, await sendOrSplit(me, items));
      await tell({ trouble: "" });
    }
    await prune();
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

  const retry = (id) => move(id, "waiting").then(flush);
  async function move(id, name) {
    const item = await get(id);
    if (item) await change((box) => box.put({ ...item, state: name }));
    await tell();
  }

  async function watch() {
    await tell();
    flush();
    window.addEventListener("online", flush);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
    setInterval(() => { if (state.waiting) flush(); }, TIMER_MS);
  }

  window.Outbox = { save, all, get, listen, flush, retry, move, newId, watch, user };
})();
