// Reads numbers that were typed and writes figures, by the same rules as the server.
import { say } from "./words.js";

const SHAPE = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;

// Digits of every script, as the server reads them.
function digit(sign) {
  let below = sign.codePointAt(0);
  while (/\p{Nd}/u.test(String.fromCodePoint(below - 1))) below -= 1;
  return String((sign.codePointAt(0) - below) % 10);
}

export function readNumber(text) {
  const cleaned = String(text).replace(/[\s\u00a0\u202f']/g, "").replace("−", "-").replace(/\p{Nd}/gu, digit);
  if (!SHAPE.test(cleaned)) throw new Error(say("figure.no_number", { text }));
  const value = Number(cleaned.replace(",", "."));
  if (!Number.isFinite(value)) throw new Error(say("figure.too_large", { text }));
  return value;
}

// A half goes to the even digit, as on the server; toFixed takes it away from zero.
function rounded(value, decimals) {
  const text = value.toFixed(decimals), isHalf = Math.abs((value * 2 ** (decimals + 1)) % 2) === 1;
  return isHalf && /[13579]$/.test(text) ? (value * (1 - Number.EPSILON)).toFixed(decimals) : text;
}

export function plain(value, decimals) {
  const [whole, rest] = rounded(value, decimals).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  const text = rest ? `${grouped}.${rest}` : grouped;
  return Number(text.replace(/,/g, "")) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

export const shown = (q, stored) => plain(stored * q.factor + q.offset, q.decimals);
export const withUnit = (q, stored) => `${shown(q, stored)} ${q.unit}`.trim();
const spanOf = (q, ...ends) => {
  const [low, high] = ends.map((end) => shown(q, end));
  return `${low === high ? low : say("figure.span", { low, high })} ${q.unit}`.trim();
};
const gap = (q, stored) => `${plain(Math.abs(stored * q.factor), q.decimals)} ${q.bare_unit}`.trim();

// The stored value of what was typed in the shop's unit; throws with a sentence that names field, value and what is allowed.
export function storedValue(q, text) {
  let typed;
  try { typed = readNumber(text); } catch (error) { throw new Error(say("figure.of", { quantity: q.label, what: error.message }), { cause: error }); }
  const value = q.factor === 1 && q.offset === 0 ? typed : (typed - q.offset) / q.factor;
  if (value < q.low || value > q.high) {
    const values = { quantity: q.label, value: `${String(text).trim()} ${q.bare_unit}`, allowed: spanOf(q, q.low, q.high), why: q.why };
    throw new Error(say(q.why ? "figure.not_possible_because" : "figure.not_possible", values));
  }
  return value;
}

function againstPlan(q, { band, difference }) {
  const plan = spanOf(q, ...band);
  if (!difference) return say("finding.plan", { plan });
  return say(difference < 0 ? "finding.below_plan" : "finding.above_plan", { plan, gap: gap(q, difference) });
}

function againstLimit(q, { value, limit, limitWord }) {
  const values = { limit: withUnit(q, limit.value), source: limit.source };
  if (limitWord === "stop" && limit.stop_at !== null) {
    return say("finding.past_stop", { ...values, stop: withUnit(q, limit.stop_at), gap: gap(q, value - limit.stop_at) });
  }
  const beyond = limit.direction === "max" ? value - limit.value : limit.value - value;
  const end = limit.direction === "max" ? "highest" : "lowest";
  return say(`finding.${beyond > 0 ? "past" : "within"}_${end}`, { ...values, gap: gap(q, beyond) });
}

// Word for word what the server says: measured, plan, difference, limit and its source, how well the gauge knows it.
export function sentence(sheet, finding) {
  const q = sheet.quantities[finding.quantity];
  const parts = [say("finding.measured", { quantity: q.label, value: withUnit(q, finding.value) })];
  if (finding.band) parts.push(againstPlan(q, finding));
  if (finding.limit) parts.push(againstLimit(q, finding));
  const said = [say("finding.stands_on", { parts: parts.join("; ") })];
  if (finding.uncertainty !== null) said.push(say("finding.gauge", { gap: gap(q, finding.uncertainty) }));
  if (finding.note) said.push(say(finding.note, { drop: gap(sheet.quantities.exhaust_temperature_c, sheet.rules.turbine_drop_c) }));
  return [...said, ...(finding.ofGauge || [])].join(" ");
}
