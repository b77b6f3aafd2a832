import assert from "node:assert/strict";
import test from "node:test";
import { currentRun, hasIdled, oilIsWarm, sortNotes, stands } from "#phone/run_rules.js";

const sheet = { run: null, worked_out_at: "2026-11-28T10:00:00Z", warm: false, cooled_down: false };
const stored = (more) => ({ state: "stored", received_at: "2026-11-28T11:00:00Z", ...more });
const started = (answer) => ({ key: "3/12/run", id: "start-1", fact: { kind: "start" }, ...(answer && { answer }) });
const step = (name, about, answer) => ({ fact: { kind: "run_step", step: name, ...about }, ...(answer && { answer }) });

test("notes are sorted by what they are about; signatures of an earlier fitment say nothing", () => {
  const keys = ["3/12/check/1/oil", "3/12/check/2/oil", "3/12/check/2/hoses", "3/12/run", "3/12/warm/a", "3/12/step/start-1/cool_down", "3/12/cooling"];
  const found = sortNotes(keys.map((key) => ({ key })), 2);
  assert.deepEqual(found, {
    checks: { oil: { key: keys[1] }, hoses: { key: keys[2] } }, run: { key: keys[3] }, warm: [{ key: keys[4] }], steps: [{ key: keys[5] }], cooling: { key: keys[6] },
  });
  assert.deepEqual(sortNotes([]), { checks: {}, run: null, warm: [], steps: [], cooling: null });
});

test("a press stands until it is refused", () => {
  assert.deepEqual([undefined, null, {}, { answer: stored() }, { answer: { state: "refused" } }].map(stands), [false, false, true, true, false]);
});

test("readings go to the run of the server, or to the one that was started here", () => {
  const current = (s, run) => currentRun({ ...sheet, ...s }, sortNotes(run ? [run] : []));
  assert.equal(current({}), null);
  assert.deepEqual(current({ run: 4 }), { run: 4, start: null });
  assert.deepEqual(current({}, started()), { run: null, start: "start-1" });
  assert.deepEqual(current({}, started(stored({ run: 5 }))), { run: 5, start: "start-1" });
  assert.deepEqual(current({ run: 5 }, started(stored({ run: 5 }))), { run: 5, start: "start-1" });
  assert.deepEqual(current({ run: 6 }, started(stored({ run: 5 }))), { run: 6, start: null });
  assert.equal(current({}, started({ state: "refused", reason: "x" })), null);
  // The sheet is newer than the answer and knows of no run: it was decided.
  assert.equal(current({ worked_out_at: "2026-11-28T12:00:00Z" }, started(stored({ run: 5 }))), null);
});

test("oil is warm by the sheet, by a reading of this run, or when somebody wrote that it cannot be read", () => {
  const known = (...more) => ({ ...sortNotes([started()]), warm: [], steps: [], ...Object.assign({}, ...more) });
  assert.equal(oilIsWarm(sheet, known()), false);
  assert.equal(oilIsWarm({ ...sheet, warm: true }, known()), true);
  assert.equal(oilIsWarm(sheet, known({ warm: [{ run: null, start: "start-1" }] })), true);
  assert.equal(oilIsWarm(sheet, known({ warm: [{ run: null, start: "another" }] })), false);
  assert.equal(oilIsWarm(sheet, known({ steps: [step("oil_unreadable", { start: "start-1" })] })), true);
  assert.equal(oilIsWarm(sheet, known({ steps: [step("oil_unreadable", { start: "start-1" }, { state: "refused" })] })), false);
  assert.equal(oilIsWarm(sheet, known({ steps: [step("cool_down", { start: "start-1" })] })), false);
});

test("it has idled when the sheet says so or it was written down here for this run", () => {
  const known = { ...sortNotes([]), steps: [step("cool_down", { run: 4, start: null })] };
  assert.equal(hasIdled({ ...sheet, run: 4 }, known), true);
  assert.equal(hasIdled({ ...sheet, run: 5 }, known), false);
  assert.equal(hasIdled({ ...sheet, run: 5, cooled_down: true }, known), true);
});
