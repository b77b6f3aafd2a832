// What the phone itself can do for a hand in a glove: shake, and keep its screen on.

// Felt through the glove where the engine drowns every sound.
export const nudge = (ms) => { if (navigator.vibrate) navigator.vibrate(ms); };

// While readings are taken the screen stays on: settling and idling take minutes. The phone lets go of it when the page is left.
export function stayAwake() {
  const ask = () => { if (navigator.wakeLock && !document.hidden) navigator.wakeLock.request("screen").catch(() => null); };
  document.addEventListener("visibilitychange", ask);
  ask();
}
