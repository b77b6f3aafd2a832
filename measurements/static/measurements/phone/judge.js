// Judges readings on the phone, by the limits and bands that came with the sheet. The same rules as the server's; tests/cases/judging.json holds both.

const ORDER = ["", "on_plan", "near_edge", "off_plan", "stop"];
const worst = (words) => words.reduce((a, b) => (ORDER.indexOf(b) > ORDER.indexOf(a) ? b : a), "");

function overSpeed(rows, speed) {
  if (speed <= rows[0][0]) return rows[0][1];
  for (let i = 1; i < rows.length; i++) {
    const [s0, v0] = rows[i - 1], [s1, v1] = rows[i];
    if (speed <= s1) return v0 + ((v1 - v0) * (speed - s0)) / (s1 - s0);
  }
  return rows[rows.length - 1][1];
}

export function limitAt(sheet, quantity, speed, load) {
  const row = sheet.limits.find((r) => r.quantity === quantity && speed >= r.from_rpm && !(r.full_load_only && load < sheet.rules.full_load_pct));
  if (!row) return null;
  let value = overSpeed(row.over_speed, speed);
  if (row.opacity_path_m !== null) value = -100 * Math.expm1(-value * row.opacity_path_m);
  return { ...row, value };
}

export function bandAt(sheet, quantity, speed) {
  const speeds = sheet.bands.speeds_rpm, ends = sheet.bands.by_quantity[quantity];
  if (!ends || !speeds.length || speed < speeds[0] || speed > speeds[speeds.length - 1]) return null;
  const at = (values) => overSpeed(speeds.map((s, i) => [s, values[i]]), speed);
  return [at(ends.low), at(ends.high)];
}

function againstLimit(value, limit, uncertainty) {
  const max = limit.direction === "max";
  if (limit.stop_at !== null && (max ? value >= limit.stop_at : value <= limit.stop_at)) return "stop";
  const margin = (max ? limit.value - value : value - limit.value) + 1e-9 * Math.abs(limit.value);
  if (margin < -uncertainty) return "off_plan";
  return margin < limit.edge + uncertainty ? "near_edge" : "on_plan";
}

function againstBand(sheet, quantity, value, band, uncertainty) {
  const [low, high] = band;
  const difference = Math.min(value - low, 0) || Math.max(value - high, 0);
  if (difference === 0) return ["on_plan", 0];
  const [share, least] = sheet.rules.tolerance[quantity] || sheet.rules.default_tolerance;
  const tolerance = Math.max(share * Math.abs(difference < 0 ? low : high), least);
  if (Math.abs(difference) <= tolerance / 2) return ["on_plan", difference];
  return [Math.abs(difference) <= Math.max(tolerance, uncertainty) ? "near_edge" : "off_plan", difference];
}

function usableBand(sheet, quantity, value, place, speed, load) {
  const band = bandAt(sheet, quantity, speed);
  const places = sheet.rules.comparable_places[quantity];
  if (!band) return [null, ""];
  if (places && !places.includes(place)) return [null, "note.place"];
  if (load >= sheet.rules.full_load_pct) return [band, ""];
  return value > band[1] ? [band, "note.part_load_more"] : [null, "note.part_load"];
}

// One reading: {word, limit, band, difference, note}; the note is a code
export function judgeReading(sheet, quantity, value, place, uncertainty, speed, load) {
  const known = uncertainty || 0, base = { quantity, value, uncertainty: uncertainty ?? null, band: null, difference: null, note: "" };
  const limit = limitAt(sheet, quantity, speed, load);
  const limitWord = limit ? againstLimit(value, limit, known) : "";
  if (quantity === "exhaust_temperature_c" && place === "after_turbine") {
    let word = limitWord;
    if (word === "on_plan") word = value + sheet.rules.turbine_drop_c > limit.value ? "near_edge" : "";
    return { ...base, word, limit, limitWord: word, note: "note.after_turbine" };
  }
  const [band, note] = usableBand(sheet, quantity, value, place, speed, load);
  if (!band) return { ...base, word: limitWord, limit, limitWord, note };
  const [bandWord, difference] = againstBand(sheet, quantity, value, band, known);
  return { ...base, word: worst([limitWord, bandWord]), limit, limitWord, band, difference, note };
}

// What has to be said of the gauge beside a figure: past its check day, or beyond its range.
function gaugeNotes(gauge, value, day) {
  const notes = [];
  if (gauge && gauge.check_due_on && gauge.check_due_on < day) notes.push(gauge.overdue_note);
  if (gauge && ((gauge.low !== null && value < gauge.low) || (gauge.high !== null && value > gauge.high))) notes.push(gauge.range_note);
  return notes;
}

// The day in the workshop's zone, which may not be that of the phone, as 2026-11-25 (the Swedish way to write it).
export const dayIn = (zone, moment = new Date()) => moment.toLocaleDateString("sv", { timeZone: zone });

// All readings of one stop, the worst first, and the worst word.
export function judgePoint(sheet, point, day) {
  const findings = Object.entries(point.values).map(([quantity, value]) => {
    const gauge = sheet.gauges[(point.gauges || {})[quantity]];
    const finding = judgeReading(sheet, quantity, value, (point.places || {})[quantity] || "", gauge && gauge.uncertainty, point.speed_rpm, point.load_pct);
    finding.ofGauge = gaugeNotes(gauge, value, day);
    if (sheet.phase === "before" && finding.word === "on_plan") finding.word = "";
    return finding;
  });
  findings.sort((a, b) => ORDER.indexOf(b.word) - ORDER.indexOf(a.word));
  return { word: worst(findings.map((f) => f.word)), findings };
}

export function advice(sheet, findings) {
  const stops = findings.filter((f) => f.word === "stop").map((f) => f.quantity);
  if (!stops.length) return [];
  stops.sort((a, b) => (a !== "oil_pressure_kpa") - (b !== "oil_pressure_kpa"));
  const lines = stops.flatMap((slug) => sheet.rules.advice[slug] || [sheet.rules.advice_else]);
  return [...new Set([...lines, sheet.rules.advice_always])];
}
