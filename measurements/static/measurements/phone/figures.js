// Reads numbers that were typed and writes figures, by the same rules as the server.

const SHAPE = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;

// Digits of every script, as the server reads them.
function digit(sign) {
  let below = sign.codePointAt(0);
  while (/\p{Nd}/u.test(String.fromCodePoint(below - 1))) below -= 1;
  return String((sign.codePointAt(0) - below) % 10);
}

export function readNumber(text) {
  const cleaned = String(text).replace(/[\s\u00a0\u202f']/g, "").replace("−", "-").replace(/\p{Nd}/gu, digit);
  if (!SHAPE.test(cleaned)) throw new Error(`'${text}' is not a number. Type digits with one comma or point, such as 1.4 or 1,4.`);
  const value = Number(cleaned.replace(",", "."));
  if (!Number.isFinite(value)) throw new Error(`'${text}' is too large to be a reading.`);
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
const gap = (q, stored) => `${plain(Math.abs(stored * q.factor), q.decimals)} ${q.bare_unit}`.trim();

// The stored value of what was typed in the shop's unit; throws with a sentence that names field, value and what is allowed.
export function storedValue(q, text) {
  let typed;
  try { typed = readNumber(text); } catch (error) { throw new Error(`${q.label}: ${error.message}`, { cause: error }); }
  const value = q.factor === 1 && q.offset === 0 ? typed : (typed - q.offset) / q.factor;
  if (value < q.low || value > q.high) {
    const why = q.why ? ` (${q.why})` : "";
    throw new Error(`${q.label}: ${String(text).trim()} ${q.bare_unit} is not physically possible. Allowed: ${shown(q, q.low)} to ${shown(q, q.high)} ${q.unit}${why}.`);
  }
  return value;
}

function againstPlan(q, finding) {
  const [low, high] = finding.band.map((v) => shown(q, v));
  const text = `the plan expects ${low === high ? low : `${low} to ${high}`} ${q.unit}`.trim();
  return finding.difference ? `${text}: ${gap(q, finding.difference)} ${finding.difference < 0 ? "below" : "above"} it` : text;
}

function againstLimit(q, { value, limit, limitWord }) {
  if (limitWord === "stop" && limit.stop_at !== null) {
    return `stop limit ${withUnit(q, limit.stop_at)}, passed by ${gap(q, value - limit.stop_at)} (from ${withUnit(q, limit.value)} on it is too much: ${limit.source})`;
  }
  const beyond = limit.direction === "max" ? value - limit.value : limit.value - value;
  const end = limit.direction === "max" ? "highest allowed" : "lowest allowed";
  return `${end} ${withUnit(q, limit.value)} (${limit.source}), ${beyond > 0 ? `passed by ${gap(q, beyond)}` : `${gap(q, beyond)} in hand`}`;
}

// Word for word what the server says: measured, plan, difference, limit and its source, how well the gauge knows it.
export function sentence(sheet, finding) {
  const q = sheet.quantities[finding.quantity], parts = [`${q.label} ${withUnit(q, finding.value)}`];
  if (finding.band) parts.push(againstPlan(q, finding));
  if (finding.limit) parts.push(againstLimit(q, finding));
  let text = parts.join("; ") + ".";
  if (finding.uncertainty !== null) text += ` The gauge reads to plus or minus ${gap(q, finding.uncertainty)}.`;
  return `${text} ${finding.note}`.trim();
}
