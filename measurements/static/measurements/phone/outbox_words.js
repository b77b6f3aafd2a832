// How the outbox stands, in a few words at the head of each page.

export function howItStands(state) {
  if (!state.storage) return "This phone keeps nothing: readings are sent at once";
  if (!state.known) return "What is on this phone";
  const parts = [];
  if (state.waiting) parts.push(`${state.waiting} saved here, not sent`);
  if (state.refused) parts.push(`${state.refused} refused`);
  return parts.join(", ") || "All sent";
}

export function whatToDo(state) {
  if (state.trouble === "log in" && state.waiting) return "Log in again to send; nothing is lost.";
  if (state.others) return `${state.others} belong to somebody else's log-in and wait for it.`;
  return "";
}
