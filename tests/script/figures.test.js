import assert from "node:assert/strict";
import test from "node:test";
import { plain, readNumber, storedValue } from "#phone/figures.js";
import { takeWords } from "#phone/words.js";
import { readCases } from "./cases.js";

takeWords(readCases("words"));

const CASES = readCases("figures");

for (const [typed, value] of CASES.read) test(`'${typed}' is read`, () => assert.equal(readNumber(typed), value));

for (const [why, texts] of Object.entries(CASES.refuse)) {
  for (const typed of texts) test(`'${typed.slice(0, 20)}' ${why}`, () => assert.throws(() => readNumber(typed), (error) => error.message.includes(why)));
}

for (const [value, decimals, text] of CASES.write.rows) test(`${value} is written '${text}'`, () => assert.equal(plain(value, decimals), text));

for (const { slug, row, stored, refused } of CASES.fields.rows) {
  for (const [typed, value] of stored) {
    test(`${slug}: ${typed} ${row.unit} is stored as ${value}`, () => assert.ok(Math.abs(storedValue(row, typed) - value) <= 1e-6 * Math.abs(value) + 1e-9));
  }
  for (const [typed, why] of refused) test(`${slug}: ${typed} ${row.unit} is refused`, () => assert.throws(() => storedValue(row, typed), { message: why }));
}
