// Log-out asks while something is not sent, and clears the kept pages. It runs on every page that has a log-out button.

function unsent() {
  return new Promise((resolve) => {
    if (!window.indexedDB) { resolve(0); return; }
    const request = indexedDB.open("second-wind-outbox");
    request.onupgradeneeded = () => request.transaction.abort();  // there is none, so none is made
    request.onerror = () => resolve(0);
    request.onsuccess = () => {
      const db = request.result, items = db.transaction("items").objectStore("items").index("state");
      const waiting = items.count("waiting"), refused = items.count("refused");
      refused.onsuccess = () => { db.close(); resolve(waiting.result + refused.result); };
      refused.onerror = () => resolve(0);
    };
  });
}

async function clearPages() {
  if (!window.caches) return;
  if (navigator.serviceWorker && navigator.serviceWorker.controller) navigator.serviceWorker.controller.postMessage({ forget: true });
  for (const name of await caches.keys()) if (name.startsWith("phone-pages")) await caches.delete(name);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!/\/log-out\/$/.test(form.action) || form.dataset.asked) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const count = await unsent();
  if (count && !window.confirm(`${count} ${count === 1 ? "entry is" : "entries are"} on this phone and not stored yet. They stay here and are sent after the next log-in. Log out all the same?`)) return;
  await clearPages();
  form.dataset.asked = "yes";
  form.requestSubmit();
}, true);
