import assert from "node:assert/strict";
import test from "node:test";
import { howItStands, whatToDo } from "#phone/outbox_words.js";
import { takeWords } from "#phone/words.js";
import { readCases } from "./cases.js";

takeWords(readCases("words"));

const state = { known: true, waiting: 0, refused: 0, others: 0, trouble: "", storage: true };

for (const [more, text] of [
  [{}, "All sent"],
  [{ waiting: 3 }, "3 saved here, not sent"],
  [{ refused: 1 }, "1 refused"],
  [{ waiting: 3, refused: 1 }, "3 saved here, not sent, 1 refused"],
  [{ known: false }, "What is on this phone"],
  [{ storage: false, waiting: 3 }, "This phone keeps nothing: readings are sent at once"],
]) test(`it stands: ${text}`, () => assert.equal(howItStands({ ...state, ...more }), text));

for (const [more, text] of [
  [{}, ""],
  [{ trouble: "no_network", waiting: 2 }, ""],
  [{ trouble: "log_in" }, ""],
  [{ trouble: "log_in", waiting: 2 }, "Log in again to send; nothing is lost."],
  [{ others: 2 }, "2 belong to somebody else's log-in and wait for it."],
]) test(`to do: ${text || "nothing"} ${JSON.stringify(more)}`, () => assert.equal(whatToDo({ ...state, ...more }), text));
