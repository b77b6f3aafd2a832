// Keeps the pages of the phone for use without network. Nothing else of the workshop is kept.
"use strict";
// Pages are forgotten at log-out, what they are made of is not.
const MADE_OF = "phone-assets-{{ version }}", KEPT = "phone-pages-{{ version }}";
let forgetting = false;
const ASSETS = {{ assets|safe }};
const PAGES = /^\/jobs\/(\d+\/(phone|sheets)\/|outbox\/)/;
const PATIENCE_MS = 150, LONG_PATIENCE_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(MADE_OF).then((cache) => cache.addAll(ASSETS)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (names) => names.filter((name) => name.startsWith("phone-") && name !== MADE_OF && name !== KEPT);
  const forget = (names) => Promise.all(old(names).map((name) => caches.delete(name)));
  event.waitUntil(caches.keys().then(forget).then(() => self.clients.claim()));
});

// The answer to "?saved=..." is about one reading; what is kept is the sheet itself.
function keyOf(address) {
  const url = new URL(address), phase = url.searchParams.get("phase");
  return url.origin + url.pathname + (phase ? "?phase=" + phase : "");
}

async function fetchAndKeep(request, key) {
  const answer = await fetch(request);
  // A page that led elsewhere is the log-in page, which is no sheet.
  if (answer.ok && !answer.redirected && !forgetting) await (await caches.open(KEPT)).put(key, answer.clone());
  return answer;
}

async function page(event) {
  forgetting = false;
  const key = keyOf(event.request.url);
  const kept = await (await caches.open(KEPT)).match(key);
  const fresh = fetchAndKeep(event.request, key);
  event.waitUntil(fresh.catch(() => null));
  if (!kept) return fresh;
  // A page that waits for something, such as the start of a run, gives the network more time.
  const patience = kept.headers.get("X-Sheet") === "ready" ? PATIENCE_MS : LONG_PATIENCE_MS;
  const late = new Promise((resolve) => setTimeout(resolve, patience, kept));
  const sound = fresh.then((answer) => (answer.status >= 500 ? kept : answer), () => kept);
  return Promise.race([sound, late]);
}

// The job card names the customer and is never kept: without network the readings of that job stand in,
// else what is kept here.
async function orWhatIsKept(request) {
  try { return await fetch(request); } catch (error) {
    const job = /^\/jobs\/\d+\//.exec(new URL(request.url).pathname), cache = await caches.open(KEPT);
    for (const path of [job && `${job[0]}phone/`, "{% url 'measurements:outbox' %}"]) {
      if (path && (await cache.match(keyOf(new URL(path, self.location.href).href)))) return Response.redirect(path);
    }
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && !url.searchParams.has("saved")) {
    event.respondWith(PAGES.test(url.pathname) ? page(event) : orWhatIsKept(event.request));
  } else if (ASSETS.includes(url.pathname)) {
    event.respondWith(caches.match(event.request).then((kept) => kept || fetch(event.request)));
  }
});

self.addEventListener("message", (event) => {
  if (event.data.forget) {
    forgetting = true;  // an answer that is still under way must not be kept either
    event.waitUntil(caches.delete(KEPT));
    return;
  }
  const port = event.ports[0];
  const kept = async (key) => (await caches.open(KEPT)).match(key);
  // What cannot be fetched now is good as it was kept; what is wanted once is fetched only when it is not there.
  const keep = async (address) => {
    const key = keyOf(address);
    if ((event.data.once || []).includes(address) && (await kept(key))) return;
    await fetchAndKeep(new Request(address, { credentials: "same-origin" }), key).catch(async (error) => {
      if (!(await kept(key))) throw error;
    });
  };
  const done = (told) => port && port.postMessage(told);
  const all = (addresses) => Promise.all((addresses || []).map(keep));
  event.waitUntil(
    all(event.data.keep).then(() => all(event.data.once)).then(() => done("kept"), () => done("failed")),
  );
});
