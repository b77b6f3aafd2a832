// Lists what is on this phone: not sent, refused with the reason, removed by hand, sent.
import { el, verdictOf } from "./elements.js";
import { USER, flush, moveTo, newestOf, onChange, retry, retryAll } from "./outbox.js";

const box = document.getElementById("outbox-list"), MOST = 100;
const GROUPS = [
  ["waiting", "Saved here, not sent"],
  ["refused", "Refused"],
  ["removed", "Left out by hand"],
  ["sent", "Sent"],
];

function button(text, does) {
  const made = el("button", text, { type: "button", className: "quiet-key" });
  made.addEventListener("click", () => does().then(show));
  return made;
}

function row(item) {
  const made = el("li", "", { className: "kept" });
  made.append(el("strong", item.label), el("span", new Date(item.fact.made_at).toLocaleString([], { timeZone: document.documentElement.dataset.zone }), { className: "when" }));
  if (item.user !== USER) made.append(el("p", "Belongs to another log-in and is sent only after that one."));
  if (item.state === "refused") made.append(el("p", item.answer.reason, { className: "reason" }));
  if (item.state === "sent" && item.answer.verdict) made.append(el("p", `Verdict: ${verdictOf(item.answer.verdict)?.textContent.trim() || item.answer.verdict}`));
  if (item.state === "refused") made.append(button("Send again", () => retry(item.id)), button("Leave it out", () => moveTo(item.id, "removed")));
  if (item.state === "removed") made.append(button("Put it back", () => moveTo(item.id, "refused")));
  return made;
}

let showing = null, stale = false;
async function show() {
  stale = true;
  showing ||= (async () => {
    while (stale) { stale = false; await draw(); }
    showing = null;
  })();
  return showing;
}

async function draw() {
  let found;
  try { found = await Promise.all(GROUPS.map(([state]) => newestOf(state, MOST))); } catch {
    box.replaceChildren(el("p", "This phone refuses to keep anything, so readings are sent at once."));
    return;
  }
  box.replaceChildren(...GROUPS.flatMap(([state, title], i) => {
    const { items, count } = found[i];
    if (!items.length) return [];
    const list = el("ul", "", { className: "kept-items" });
    list.append(...items.map(row));
    const parts = [el("h2", `${title} (${count})`)];
    if (state === "refused" && count > 1) parts.push(button("Send all refused again", retryAll));
    if (count > items.length) parts.push(el("p", `The newest ${items.length} are shown.`));
    return [...parts, list];
  }));
  if (!box.children.length) box.replaceChildren(el("p", "Nothing yet. What you save at the engine will stand here.", { className: "empty" }));
}

// By the pages that the worker kept; each says in its title what it is.
async function keptSheets() {
  const part = document.getElementById("kept-sheets"), found = [];
  for (const name of window.caches ? await caches.keys() : []) {
    if (!name.startsWith("phone-pages")) continue;
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const title = /<title>([^<]*)</.exec(await (await cache.match(request)).text());
      const { pathname, search } = new URL(request.url);
      if (title && pathname.endsWith("/phone/") && !search) found.push([pathname, title[1]]);
    }
  }
  part.querySelector("ul").replaceChildren(...found.map(([href, title]) => { const li = el("li"); li.append(el("a", title, { href, className: "line" })); return li; }));
  part.hidden = !found.length;
}

export function startOutboxPage() {
  if (!box) return;
  keptSheets().catch(() => null);  // a page under plain http keeps none
  document.getElementById("send-now").addEventListener("click", () => flush().then(show));
  onChange(show);
}
