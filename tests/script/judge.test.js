import assert from "node:assert/strict";
import test from "node:test";
import { sentence } from "#phone/figures.js";
import { advice, bandAt, judgePoint, judgeReading, limitAt } from "#phone/judge.js";
import { takeWords } from "#phone/words.js";
import { readCases } from "./cases.js";

const { limits, quantities, rules, sentences, words } = readCases("judging");
takeWords(readCases("words"));
const SPEED = 2800;
const ANYWHERE = { from_rpm: 0, full_load_only: false, opacity_path_m: null };

// A sheet with one limit and one band, the same at every speed.
function sheetFor({ quantity, limit, band }) {
  const row = limits[limit], ends = band && { low: [band[0], band[0]], high: [band[1], band[1]] };
  return {
    phase: "after", quantities, rules, gauges: {},
    limits: row ? [{ ...row, ...ANYWHERE, over_speed: [[0, row.value]] }] : [],
    bands: { speeds_rpm: [1000, 4000], by_quantity: band ? { [quantity]: ends } : {} },
  };
}
const judge = (c, value) => judgeReading(sheetFor(c), c.quantity, value, c.place || "", c.uncertainty, SPEED, c.load_pct ?? 100);

for (const group of words) {
  for (const [value, word] of group.cases) {
    test(`${group.quantity} ${value}: ${word || "no word"}. ${group.why}`, () => {
      const finding = judge(group, value);
      assert.equal(finding.word, word);
      assert.equal(finding.note, group.note || "");
      assert.equal(finding.band !== null, group.compared ?? Boolean(group.band));
    });
  }
}

for (const c of sentences) test(c.says, () => assert.equal(sentence(sheetFor(c), judge(c, c.value)), c.says));

test("a limit over speed is straight between its rows, level beyond them, and begins where it says", () => {
  const row = { ...limits.oil, ...ANYWHERE, from_rpm: 500, over_speed: [[0, 70], [1000, 70], [4000, 280]] };
  const at = (speed) => limitAt({ limits: [row], rules }, "oil_pressure_kpa", speed, 100);
  assert.equal(at(499), null);
  assert.deepEqual([500, 1000, 2500, 4000, 4500].map((speed) => at(speed).value), [70, 70, 175, 280, 280]);
  assert.equal(limitAt({ limits: [row], rules }, "boost_kpa", 2500, 100), null);
});

test("a limit of full load counts from 95 % on", () => {
  const sheet = { limits: [{ ...limits.heat, ...ANYWHERE, full_load_only: true, over_speed: [[0, 700]] }], rules };
  assert.equal(limitAt(sheet, "exhaust_temperature_c", SPEED, 94.9), null);
  assert.equal(limitAt(sheet, "exhaust_temperature_c", SPEED, 95).value, 700);
});

// Beer-Lambert over the effective length of the usual meter, 0.430 m (UN Regulation No. 24, from memory): 1 - exp(-0.43) = 34.95 %.
test("a coefficient of smoke becomes an opacity over the length of the smoke tube", () => {
  const row = { quantity: "smoke_opacity_pct", direction: "max", stop_at: null, ...ANYWHERE, opacity_path_m: 0.43, over_speed: [[0, 1]] };
  assert.equal(limitAt({ limits: [row], rules }, "smoke_opacity_pct", SPEED, 100).value.toFixed(2), "34.95");
});

test("a band is straight between its speeds and speaks of no other", () => {
  const sheet = { bands: { speeds_rpm: [1000, 2000], by_quantity: { boost_kpa: { low: [20, 60], high: [30, 80] } } } };
  assert.deepEqual([999, 1000, 1500, 2000, 2001].map((speed) => bandAt(sheet, "boost_kpa", speed)), [null, [20, 30], [40, 55], [60, 80], null]);
  assert.equal(bandAt(sheet, "torque_nm", 1500), null);
});

test("of one stop the worst comes first and gives the word; a baseline has no plan to be on", () => {
  const sheet = { ...sheetFor({ quantity: "boost_kpa", band: [70, 85], limit: "heat" }) };
  const point = { speed_rpm: SPEED, load_pct: 100, values: { boost_kpa: 78, exhaust_temperature_c: 760 } };
  const { word, findings } = judgePoint(sheet, point);
  assert.deepEqual([word, ...findings.map((f) => f.quantity)], ["stop", "exhaust_temperature_c", "boost_kpa"]);
  assert.equal(judgePoint({ ...sheet, phase: "before" }, { ...point, values: { boost_kpa: 78 } }).word, "");
  assert.equal(judgePoint(sheet, { ...point, values: {} }).word, "");
});

test("a gauge past its check day, or beyond its range, is named", () => {
  const gauge = { uncertainty: 2, low: 0, high: 120, check_due_on: "2026-11-28", overdue_note: "Overdue.", range_note: "Beyond." };
  const note = (value, day) => judgePoint({ ...sheetFor({}), gauges: { 7: gauge } }, { speed_rpm: SPEED, load_pct: 100, values: { boost_kpa: value }, gauges: { boost_kpa: 7 } }, day).findings[0].ofGauge.join(" ");
  assert.deepEqual([note(84, "2026-11-28"), note(84, "2026-11-29"), note(128, "2026-11-28"), note(128, "2026-11-29")], ["", "Overdue.", "Beyond.", "Overdue. Beyond."]);
});

test("at a stop oil pressure is dealt with first, each line once, and what always holds comes last", () => {
  const sheet = { rules: { advice: { oil_pressure_kpa: ["Engine off."], boost_kpa: ["Load off."] }, advice_else: "Load off.", advice_always: "Stand clear." } };
  const stopped = (...slugs) => slugs.map((quantity) => ({ quantity, word: "stop" }));
  assert.deepEqual(advice(sheet, stopped("boost_kpa", "torque_nm", "oil_pressure_kpa")), ["Engine off.", "Load off.", "Stand clear."]);
  assert.deepEqual(advice(sheet, [{ quantity: "boost_kpa", word: "off_plan" }]), []);
});
