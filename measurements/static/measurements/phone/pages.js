// What every phone page does: shows what is kept here, keeps itself for use without network, asks before log-out.
import { onChange, watch } from "./outbox.js";
import { howItStands, whatToDo } from "./outbox_words.js";
import { say } from "./words.js";

const root = document.documentElement;
const badge = document.getElementById("outbox-state"), offline = document.getElementById("offline-state");

function showState(state) {
  if (!badge) return;
  badge.querySelector("span").textContent = howItStands(state);
  badge.dataset.state = !state.storage || state.refused ? "trouble" : state.waiting ? "waiting" : "sent";
  const note = document.getElementById("outbox-why");
  note.firstElementChild.textContent = whatToDo(state);
  note.hidden = !whatToDo(state);
  note.querySelector("a").hidden = state.trouble !== "log_in";
}

// The light is this phone's own: chosen without network too, and taken by a page that was kept in another one.
function light(slug) {
  root.dataset.theme = slug;
  document.querySelectorAll("[data-light]").forEach((b) => b.setAttribute("aria-pressed", b.dataset.light === slug));
}

function lights() {
  const box = document.getElementById("lights"), chosen = /(?:^|; )theme=(\w+)/.exec(document.cookie);
  if (!box) return;
  box.addEventListener("click", (event) => {
    const slug = event.target.dataset.light;
    if (!slug) return;
    document.cookie = `theme=${slug}; path=/; max-age=31536000; samesite=lax${location.protocol === "https:" ? "; secure" : ""}`;
    light(slug);
  });
  if (chosen && box.querySelector(`[data-light="${chosen[1]}"]`)) light(chosen[1]);
  box.hidden = false;
  document.getElementById("light").hidden = true;
}

function tellOffline(text) { if (offline) offline.textContent = text; }

async function keepPages() {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) {
    tellOffline(say("phone.not_secured"));
    return;
  }
  try {
    await navigator.serviceWorker.register(root.dataset.worker, { scope: root.dataset.scope });
    const ready = await navigator.serviceWorker.ready;
    const channel = new MessageChannel();
    channel.port1.onmessage = (event) => tellOffline(event.data === "kept" ? say("phone.ready") : say("phone.not_all_kept"));
    const list = (words) => words.split(" ").filter(Boolean).map((a) => new URL(a, location.href).href);
    ready.active.postMessage({ keep: list(root.dataset.keep), once: list(root.dataset.keepOnce || "") }, [channel.port2]);
  } catch {
    tellOffline(say("phone.page_not_kept"));
  }
}

export function startPages() {
  onChange(showState);
  lights();
  window.addEventListener("load", () => { watch(); keepPages(); });
}
