// Before and around a proving run: signatures, the start, warm oil before full load, idling before the engine is switched off.
// All of it is kept in the outbox first, so that it works without network; the server checks it again and may refuse.
import { nudge } from "./handset.js";
import { USER, dropNotes, newId, notesOf, onChange, putNote, saveFact } from "./outbox.js";
import { currentRun, hasIdled, isOfRun, oilIsWarm, sortNotes, stands } from "./run_rules.js";
import { say } from "./words.js";

let host = null, known = sortNotes([]), ticking = null;
let unstored = [];  // warm oil whose note is still being written, or cannot be
const before = document.getElementById("before-run"), cool = document.getElementById("cool-down"), warmUp = document.getElementById("warm-up");
const sheet = () => host.sheet();
const clock = (iso) => new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", timeZone: document.documentElement.dataset.zone });
export const isNeeded = () => sheet().phase === "after" && sheet().start !== null;

// ---- what this phone knows: one note for each press
async function load() {
  let rows;
  try { rows = await notesOf(`${sheet().job}/`); } catch { return; }
  const found = sortNotes(rows, (sheet().start || {}).round);
  // What is read now may be older than what was remembered meanwhile.
  found.warm.push(...unstored.filter((row) => !found.warm.some((kept) => kept.id === row.id)));
  known = found;
}

export const current = () => currentRun(sheet(), known);
export const isOfThis = (point) => !isNeeded() || isOfRun(current(), point);
export const isWarm = () => !isNeeded() || oilIsWarm(sheet(), known);
export const isFull = (loadPct) => loadPct >= sheet().rules.full_load_pct;

// ---- keeping a press
async function keep(fact, label, note) {
  const { kept, item, answer } = await saveFact({ id: newId(), job: sheet().job, ...fact }, `${sheet().number}: ${label}`, { note });
  if (kept) await load();
  else if (answer.state === "stored") hold({ id: item.id, at: item.fact.made_at, fact: item.fact, answer });
  else host.refuse(answer.reason);
  draw();
}

// Without storage the page itself remembers, as long as it is open.
function hold(row) {
  if (row.fact.kind === "sign_off") known.checks[row.fact.check] = row;
  else if (row.fact.kind === "start") known.run = row;
  else known.steps.push(row);
}

const sign = (check) => keep({ kind: "sign_off", round: sheet().start.round, check: check.slug }, say("phone.signed", { check: check.title }), `${sheet().job}/check/${sheet().start.round}/${check.slug}`);
const start = () => keep({ kind: "start", plan: sheet().start.plan }, say("phone.run_started"), `${sheet().job}/run`);
const step = (name, label, seconds = 0) => keep({ kind: "run_step", ...current(), step: name, seconds }, label, `${sheet().job}/step/${(current().start || current().run)}/${name}`);

export async function remember(point) {
  const read = point.values.oil_temperature_c;
  if (!isNeeded() || read === undefined || read < sheet().warm_oil_c) return;
  const row = { id: point.id, run: point.run, start: point.start };
  unstored.push(row);
  known.warm.push(row);
  draw();
  try {
    await putNote(`${sheet().job}/warm/${point.id}`, row);
    await load();
    unstored = unstored.filter((other) => other.id !== point.id);
  } catch { /* the page remembers */ }
}

export async function takeBack(point) {
  unstored = unstored.filter((row) => row.id !== point.id);
  known.warm = known.warm.filter((row) => row.id !== point.id);
  draw();
  try {
    await dropNotes([`${USER}/${sheet().job}/warm/${point.id}`]);
    await load();
    draw();
  } catch { /* nothing was kept */ }
}

// ---- showing it
export function draw() {
  if (!isNeeded()) return;
  const now = current();
  if (before) before.hidden = Boolean(now);
  host.part.hidden = !now;
  if (now) drawRun();
  else if (before) drawChecks();
  drawSteps();
}

function drawRun() {
  const line = document.getElementById("run-line");
  if (sheet().run) return;
  line.hidden = false;
  const number = known.run.answer && known.run.answer.run_number;
  line.textContent = number ? say("phone.run", { run: number, plan: sheet().plan }) : say("phone.run_not_sent", { clock: clock(known.run.at), plan: sheet().plan });
}

function drawChecks() {
  const { checks, in_the_way, may_start, may_sign } = sheet().start, missing = [];
  for (const check of checks) {
    const row = before.querySelector(`[data-check="${check.slug}"]`), mine = known.checks[check.slug];
    if (!row) continue;
    const done = check.signed_by || stands(mine);
    if (!done) missing.push(check.title);
    const told = row.querySelector(".signed");
    told.hidden = !(done || mine);
    if (!check.signed_by && mine) told.textContent = stands(mine) ? say(mine.answer ? "phone.signed_by_you" : "phone.signed_not_sent", { clock: clock(mine.at) }) : say("phone.refused", { why: mine.answer.reason });
    row.classList.toggle("is-signed", Boolean(done));
    row.querySelector("form").hidden = Boolean(done) || !may_sign;
  }
  const reasons = [...in_the_way];
  if (missing.length) reasons.push(say("phone.not_signed", { checks: missing.join(", ") }));
  if (!may_start) reasons.push(say("phone.who_starts"));
  if (known.run && known.run.answer && known.run.answer.state === "refused") reasons.push(say("phone.start_refused", { why: known.run.answer.reason }));
  before.querySelector(".why-not ul").replaceChildren(...reasons.map((text) => host.el("li", text)));
  before.querySelector(".why-not").hidden = !reasons.length;
  before.querySelector(".go").hidden = Boolean(in_the_way.length || missing.length || !may_start);
}

function drawSteps() {
  const warm = isWarm();
  for (const radio of host.form.querySelectorAll('[name="step"]')) {
    if (/x/.test(radio.value)) radio.disabled = !warm && isFull(Number(radio.value.split("x")[1]));
  }
  if (warmUp) warmUp.hidden = warm;
  if (!cool) return;
  document.getElementById("cool-step").hidden = false;
  const picked = host.form.elements.step.value === "cool";
  cool.hidden = !picked;
  for (const part of host.form.querySelectorAll(".readings, .more, .save-readings")) part.hidden = picked;
  const told = cool.querySelector(".told");
  if (!told.textContent && hasIdled(sheet(), known)) told.textContent = say("phone.has_idled");
}

// ---- the idling at the end
const left = () => Math.ceil(sheet().cool_down_s - (Date.now() - known.cooling.started) / 1000);

function tick() {
  const face = cool.querySelector(".clock"), rest = left();
  face.textContent = `${Math.floor(Math.max(0, rest) / 60)}:${String(Math.max(0, rest) % 60).padStart(2, "0")}`;
  if (rest <= 0) nudge(600);
  if (rest <= 0) ended(sheet().cool_down_s, say("phone.idled_enough"));
}

function run() {
  clearInterval(ticking);
  ticking = setInterval(tick, 250);
  cool.querySelector("[data-cool=start]").hidden = true;
  cool.querySelector("[data-cool=early]").hidden = false;
  cool.querySelector(".told").textContent = say("phone.leave_idling");
  tick();
}

async function begin() {
  known.cooling = { started: Date.now() };
  run();
  try { await putNote(`${sheet().job}/cooling`, known.cooling); } catch { /* the page remembers */ }
}

async function ended(seconds, told) {
  clearInterval(ticking);
  cool.querySelector("[data-cool=start]").hidden = false;
  cool.querySelector("[data-cool=early]").hidden = true;
  cool.querySelector(".told").textContent = told;
  const key = known.cooling.key || `${USER}/${sheet().job}/cooling`;
  known.cooling = null;
  try { await dropNotes([key]); } catch { /* nothing was kept */ }
  await step("cool_down", say("phone.idled", { seconds: Math.round(seconds) }), Math.round(seconds));
  ticking = null;
}

const early = () => {
  const idled = Math.max(0, sheet().cool_down_s - left());
  ended(idled, say("phone.idled_short", { seconds: Math.round(idled) }));
};

function listenBefore() {
  before.querySelectorAll("[data-check] form").forEach((form) => form.addEventListener("submit", (event) => {
    event.preventDefault();
    form.hidden = true;  // a second press finds nothing to sign
    const slug = form.closest("[data-check]").dataset.check;
    sign(sheet().start.checks.find((check) => check.slug === slug));
  }));
  const go = before.querySelector(".go");
  go.addEventListener("submit", (event) => {
    event.preventDefault();
    if (go.hidden) return;
    go.hidden = true;
    start().then(() => window.scrollTo(0, 0));
  });
}

function listen() {
  if (before) listenBefore();
  warmUp.querySelector("[data-unreadable]").addEventListener("click", () => step("oil_unreadable", say("phone.oil_unreadable")));
  warmUp.querySelector("[data-oil]").addEventListener("click", () => host.form.elements.oil_temperature_c.focus());
  cool.querySelector("[data-cool=start]").addEventListener("click", begin);
  cool.querySelector("[data-cool=early]").addEventListener("click", early);
  host.form.addEventListener("change", (event) => { if (event.target.name === "step") drawSteps(); });
}

// host: sheet(), form, part, el, refuse(reason)
export async function attach(given) {
  host = given;
  if (!isNeeded()) return;
  listen();
  draw();
  await load();
  draw();
  if (known.cooling && left() > -3600) run();
  onChange(async () => { if (ticking === null) { await load(); draw(); } });
}
