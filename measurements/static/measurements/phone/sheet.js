// The sheet beside the engine: reads what was typed, keeps it on the phone, judges it at once, undoes it when asked.
import { el, errorList, showRefused, verdictOf } from "./elements.js";
import { sentence, shown, storedValue, withUnit } from "./figures.js";
import { nudge, stayAwake } from "./handset.js";
import { advice, bandAt, dayIn, judgePoint, limitAt } from "./judge.js";
import { itemOf, newId, onChange, saveFact, savedSince } from "./outbox.js";
import { closePad } from "./pad.js";
import * as run from "./run.js";

const { zone } = document.documentElement.dataset;

const source = document.getElementById("sheet-data"), form = document.getElementById("sheet-form");
let sheet = source && JSON.parse(source.textContent);
const CONDITIONS = ["air_temperature_c", "air_pressure_kpa"], STEP = /^(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)$/;
const answerBox = document.getElementById("answer"), taken = document.getElementById("taken");
const guide = document.getElementById("guide"), settle = document.getElementById("settle");
const stopScreen = document.getElementById("stop-now");
const printed = sheet && new Date(sheet.worked_out_at);
let last = null;

const field = (name) => form.elements[name];
const word = (code) => verdictOf(code) || document.createTextNode(code);
const where = (point) => `${withUnit(sheet.quantities.speed_rpm, point.speed_rpm)}, ${shown(sheet.quantities.load_pct, point.load_pct)} % load`;
const valuesOf = (point) => Object.entries(point.values).map(([slug, v]) => `${sheet.quantities[slug].label.toLowerCase()} ${withUnit(sheet.quantities[slug], v)}`).join(", ");

// ---- reading the form
function readNumbers(names, errors) {
  const found = {};
  for (const name of names) {
    const input = field(name);
    if (!input || !input.value.trim()) continue;
    try { found[name] = storedValue(sheet.quantities[name], input.value); } catch (error) { errors[name] = error.message; }
  }
  return found;
}

function readStep(errors) {
  const typed = readNumbers(["speed_rpm", "load_pct"], errors);
  const match = STEP.exec(form.elements.step ? form.elements.step.value : "");
  if (typed.speed_rpm === undefined && match && !errors.speed_rpm) return { speed_rpm: Number(match[1]), load_pct: Number(match[2]) };
  if (typed.speed_rpm === undefined && !errors.speed_rpm) errors.speed_rpm = "Pick a step, or type the speed at which the engine was held.";
  else if (typed.load_pct === undefined && !errors.load_pct) errors.load_pct = "Say the load at that speed: 0 % is no load, 100 % is full load.";
  return typed;
}

function readPoint() {
  const errors = {}, step = readStep(errors);
  const slugs = Object.keys(sheet.quantities).filter((s) => s !== "speed_rpm" && s !== "load_pct" && !CONDITIONS.includes(s));
  const values = readNumbers(slugs, errors), conditions = readNumbers(CONDITIONS, errors);
  if (!Object.keys(values).length && !Object.keys(errors).length) errors[""] = "Nothing was typed yet: fill in at least one reading.";
  if (run.isNeeded() && run.isFull(step.load_pct) && !run.isWarm() && !(values.oil_temperature_c >= sheet.warm_oil_c)) {
    errors[""] = `Full load waits for warm oil, ${withUnit(sheet.quantities.oil_temperature_c, sheet.warm_oil_c)} or more (common practice): type it too, or write down that it cannot be read.`;
  }
  const places = {}, gauges = {};
  for (const slug of Object.keys(values)) {
    if (field(`place_${slug}`) && field(`place_${slug}`).value) places[slug] = field(`place_${slug}`).value;
    if (field(`gauge_${slug}`) && field(`gauge_${slug}`).value) gauges[slug] = Number(field(`gauge_${slug}`).value);
  }
  const point = {
    kind: "point", id: newId(), job: sheet.job, phase: sheet.phase, run: sheet.run, ...run.current(), ...step, values, places, gauges, ...conditions,
    gear: field("gear").value.trim(), note: field("note").value.trim(),
  };
  return { point, errors };
}

function showErrors(errors) {
  form.querySelectorAll("[data-entry]").forEach((entry) => {
    entry.classList.remove("has-errors");
    entry.querySelectorAll(".errors").forEach((old) => old.remove());
  });
  const names = Object.keys(errors), box = document.getElementById("refused");
  box.replaceChildren();
  if (!names.length) return;
  for (const name of names.filter(Boolean)) {
    const entry = form.querySelector(`[data-entry="${name}"]`);
    entry.append(errorList(errors[name]));
    entry.classList.add("has-errors");
    if (entry.closest("details")) entry.closest("details").open = true;
  }
  if (errors.speed_rpm || errors.load_pct) pick("other");
  showRefused(box, errors[""]);
}

function refuse(reason) {
  const box = document.getElementById("trouble");
  Object.assign(box, { textContent: reason, className: "refused" });
  box.scrollIntoView({ block: "center" });
}

// ---- what is shown after a save
function show(entry) {
  const { point, verdict, told, state, reason, next } = entry;
  const box = el("section", "", { className: "answer" });
  box.append(el("p", where(point), { className: "at" }));
  const line = el("p", "", { className: "word" });
  if (verdict) line.append(word(verdict));
  else line.textContent = sheet.phase === "before" ? "Kept to compare with." : "Nothing in the plan to compare this with.";
  const list = el("ul", "", { className: "told" });
  list.append(...told.map((text) => el("li", text)));
  const status = el("p", state, { className: "state" });
  box.append(line, list, status);
  if (reason) box.append(el("p", reason, { className: "reason" }));
  if (next && next.length) {
    const first = el("ol", "", { className: "suspects" });
    first.append(...next.map((text) => el("li", text)));
    box.append(el("h2", "Look at first"), first);
  }
  if (!entry.undone) {
    const undo = el("button", "Undo", { type: "button", className: "undo" });
    undo.addEventListener("click", () => takeBack(entry));
    box.append(undo);
  }
  answerBox.replaceChildren(box);
}

async function takeBack(entry) {
  if (entry.undone) return;
  entry.undone = true;
  const { kept, answer } = await saveFact({ kind: "withdrawal", id: newId(), point: entry.point.id }, `Taken back: ${sheet.number}, ${where(entry.point)}`);
  if (!kept && answer.state !== "stored") {
    Object.assign(entry, { undone: false, state: "It was not taken back and counts.", reason: answer.reason });
    show(entry);
    return;
  }
  run.takeBack(entry.point);
  Object.assign(entry, { state: "Taken back. It does not count; the history keeps it.", reason: "" });
  show(entry);
  fill(entry.typed);
  strike(entry.point.id);
  if (entry.opened) { entry.opened.done = false; pick(entry.opened.slug); }
}

function strike(id) {
  const article = taken.querySelector(`[data-point="${id}"]:not(.back)`);
  if (!article) return;
  article.classList.add("back");
  const head = article.querySelector("h3");
  head.replaceChildren(el("del", head.querySelector(".at").textContent), " taken back");
  article.querySelectorAll("p, li").forEach((old) => old.replaceChildren(el("del", old.textContent)));
}

function fill(typed) { Object.entries(typed).forEach(([name, text]) => { if (field(name)) field(name).value = text; }); }

function stopNow(entry, findings) {
  const stops = findings.filter((f) => f.word === "stop");
  stopScreen.querySelector(".reasons").replaceChildren(...stops.map((f) => el("p", sentence(sheet, f), { className: "reason" })));
  stopScreen.querySelector(".now").replaceChildren(...advice(sheet, findings).map((text) => el("li", text)));
  stopScreen.hidden = false;
  nudge([600, 200, 600]);
  document.body.classList.add("stopped");
  stopScreen.querySelector("[data-go-on]").focus();
}

function goOn() { stopScreen.hidden = true; document.body.classList.remove("stopped"); answerBox.scrollIntoView({ block: "start" }); }

function rememberValues(point) {
  for (const [slug, value] of Object.entries(point.values)) {
    const entry = form.querySelector(`[data-entry="${slug}"] .last`);
    if (!entry) continue;
    entry.textContent = `Last: ${withUnit(sheet.quantities[slug], value)} at ${where(point)}`;
    entry.hidden = false;
  }
}

function addTaken(entry) {
  const article = el("article", "", { className: "taken" }), head = el("h3", "");
  article.dataset.point = entry.point.id;
  head.append(el("span", where(entry.point), { className: "at" }), " ");
  if (entry.verdict) head.append(word(entry.verdict));
  article.append(head, el("p", valuesOf(entry.point)));
  taken.querySelectorAll(".empty").forEach((e) => e.remove());
  taken.prepend(article);
}

// ---- saving
async function save() {
  const { point, errors } = readPoint();
  showErrors(errors);
  if (Object.keys(errors).length) return;
  const judged = judgePoint(sheet, point, dayIn(zone));
  const typed = Object.fromEntries(Object.keys(point.values).map((slug) => [slug, field(slug).value]));
  const entry = { point, typed, verdict: judged.word, told: judged.findings.map((f) => sentence(sheet, f)), state: "", next: [] };
  // Emptied at the press: a second press saves nothing twice, and what is typed meanwhile is not wiped.
  clear();
  const { kept, answer } = await saveFact(point, `${sheet.number}, ${where(point)}: ${valuesOf(point)}`);
  if (!kept && answer.state !== "stored") {
    fill(Object.fromEntries(Object.entries(typed).filter(([slug]) => !field(slug).value)));
    showErrors({ "": answer.reason });
    if (judged.word === "stop") { last = entry; stopNow(entry, judged.findings); }
    return;
  }
  last = entry;
  entry.state = kept ? "Saved on this phone." : "Sent and stored. This phone keeps nothing by itself.";
  show(entry);
  if (judged.word === "stop") stopNow(entry, judged.findings);
  else answerBox.scrollIntoView({ block: "start" });
  afterPaint(() => goFurther(entry));
}

// What the hand does not wait for.
function goFurther(entry) {
  addTaken(entry);
  if (entry.undone) { strike(entry.point.id); return; }
  rememberValues(entry.point);
  const step = stepOf(entry.point);
  if (step && !step.done) { step.done = true; entry.opened = step; }
  run.remember(entry.point).then(() => { if (step && !entry.undone) pickNext(); });
}

// A page that was kept, or loaded before the last answer came, does not know what was saved here since.
async function recall() {
  let facts;
  try { facts = await savedSince(printed); } catch { return; }
  const points = facts.filter((f) => f.kind === "point" && f.job === sheet.job && f.phase === sheet.phase && run.isOfThis(f));
  const here = points.filter((p) => !taken.querySelector(`[data-point="${p.id}"]`));
  const back = new Set(facts.filter((f) => f.kind === "withdrawal").map((f) => f.point));
  for (const point of here) {
    addTaken({ point, verdict: judgePoint(sheet, point, dayIn(zone)).word });
    if (back.has(point.id)) continue;
    rememberValues(point);
    const step = stepOf(point);
    if (step) step.done = true;
  }
  back.forEach(strike);
  if (here.length && !inUse()) pickNext();
}

// A page that is out of sight paints no frame.
function afterPaint(work) {
  if (document.hidden) work();
  else requestAnimationFrame(() => setTimeout(work));
}

const stepOf = (point) => sheet.steps.find((s) => s.speed_rpm === point.speed_rpm && s.load_pct === point.load_pct);

function clear() {
  Object.keys(sheet.quantities).forEach((slug) => { if (field(slug) && slug !== "speed_rpm" && slug !== "load_pct" && !CONDITIONS.includes(slug)) field(slug).value = ""; });
}

// The next step that may be taken; the last of a run is to let it cool down.
function pickNext() {
  run.draw();
  const after = sheet.steps.find((s) => !s.done && !(run.isNeeded() && run.isFull(s.load_pct) && !run.isWarm()));
  if (after) pick(after.slug);
  else if (run.isNeeded() && sheet.steps.length && sheet.steps.every((s) => s.done)) pick("cool");
}

// ---- the guide beside each step
function pick(slug) {
  const radio = [...form.querySelectorAll('[name="step"]')].find((r) => r.value === slug);
  if (radio) { radio.checked = true; showGuide(); run.draw(); }
}

function showGuide() {
  const match = STEP.exec(form.elements.step.value || "");
  guide.hidden = !match;
  if (!match) return;
  const speed = Number(match[1]), load = Number(match[2]), lines = [];
  if (load >= sheet.rules.full_load_pct) {
    for (const slug of Object.keys(sheet.bands.by_quantity)) {
      const q = sheet.quantities[slug], band = bandAt(sheet, slug, speed);
      if (band && field(slug)) lines.push(`${q.label}: expect ${shown(q, band[0])} to ${shown(q, band[1])} ${q.unit}`);
    }
  }
  for (const slug of ["oil_pressure_kpa", "smoke_opacity_pct"]) {
    const limit = limitAt(sheet, slug, speed, load), q = sheet.quantities[slug];
    if (limit) lines.push(`${q.label}: ${limit.direction === "min" ? "at least" : "at most"} ${withUnit(q, limit.value)} (${limit.source})`);
  }
  guide.querySelector("ul").replaceChildren(...lines.map((text) => el("li", text)));
}

let ticking = null;
function resetSettle() { clearInterval(ticking); ticking = null; settle.textContent = `Hold, then read: ${sheet.settle_s} s`; }
function countDown() {
  if (ticking) { resetSettle(); return; }
  const end = Date.now() + sheet.settle_s * 1000;
  const tick = () => {
    const left = Math.ceil((end - Date.now()) / 1000);
    if (left <= 0) { resetSettle(); settle.textContent = "Settled: read now"; nudge(300); return; }
    settle.textContent = `Hold: ${left} s`;
  };
  ticking = setInterval(tick, 250);
  tick();
}

// ---- the server's answer, and a newer sheet
async function takeAnswer() {
  if (!last || last.answered) return;
  let item;
  try { item = await itemOf(last.point.id); } catch { return; }
  if (!item || !item.answer) return;
  last.answered = true;
  if (item.state === "sent") {
    Object.assign(last, { verdict: item.answer.verdict, told: item.answer.told, next: item.answer.look_first });
    if (!last.undone) last.state = "Sent and stored.";
  } else Object.assign(last, { state: "Refused: it stays on this phone.", reason: item.answer.reason });
  show(last);
}

// A page that loads anew would wipe what stands in its fields.
const inUse = () => [...form.querySelectorAll("[data-pad]")].some((input) => input.value || input === document.activeElement);

async function renew() {
  try {
    const answer = await fetch(`${document.documentElement.dataset.api}jobs/${sheet.job}/sheet?phase=${sheet.phase}`, { cache: "no-store", headers: { Accept: "application/json" } });
    if (!answer.ok) return;
    const fresh = await answer.json();
    const changed = fresh.run !== sheet.run || (fresh.start || {}).round !== (sheet.start || {}).round;
    const done = new Set(sheet.steps.filter((s) => s.done).map((s) => s.slug));
    sheet = { ...fresh, steps: fresh.steps.map((s) => ({ ...s, done: s.done || done.has(s.slug) })) };
    if (changed && !last && !inUse()) location.replace(`${location.pathname}?phase=${sheet.phase}&saved=none`);
    showGuide();
    run.draw();
  } catch { /* no network: the sheet that came with the page counts */ }
}

export function startSheet() {
  if (!source || !form) return;
  for (const slug of Object.keys(sheet.quantities)) {
    const input = field(slug);
    if (!input || !input.matches || !input.matches("input")) continue;
    input.dataset.pad = "";
    if (sheet.quantities[slug].low < 0) input.dataset.minus = "";
  }
  stopScreen.querySelector("[data-go-on]").addEventListener("click", goOn);
  stopScreen.querySelector("[data-undo]").addEventListener("click", () => { goOn(); takeBack(last); });
  settle.addEventListener("click", countDown);
  onChange(takeAnswer);
  form.addEventListener("submit", (event) => { event.preventDefault(); closePad(); save(); });
  form.addEventListener("change", (event) => { if (event.target.name === "step") { resetSettle(); showGuide(); } });
  stayAwake();
  run.attach({ sheet: () => sheet, form, part: document.getElementById("sheet-part"), el, refuse }).then(recall);
  resetSettle();
  showGuide();
  // A page that was kept may be older than what the workshop knows now.
  window.addEventListener("load", () => { if (navigator.serviceWorker && navigator.serviceWorker.controller) renew(); });
}
