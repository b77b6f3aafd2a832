// How the outbox stands, in a few words at the head of each page.
import { say } from "./words.js";

export function howItStands(state) {
  if (!state.storage) return say("phone.keeps_nothing");
  if (!state.known) return say("phone.what_is_here");
  const parts = [];
  if (state.waiting) parts.push(say("phone.waiting", { count: state.waiting }));
  if (state.refused) parts.push(say("phone.count_refused", { count: state.refused }));
  return parts.join(", ") || say("phone.all_sent");
}

export function whatToDo(state) {
  if (state.trouble === "log_in" && state.waiting) return say("phone.log_in_again");
  if (state.others) return say("phone.of_others", { count: state.others });
  return "";
}
