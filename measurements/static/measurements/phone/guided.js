// A guided sheet: each thing that was typed is an entry of its own, kept on the phone and then sent.
import { el, errorList, showRefused } from "./elements.js";
import { storedValue, withUnit } from "./figures.js";
import { newId, saveFact, saveFacts, savedSince } from "./outbox.js";
import { closePad } from "./pad.js";
import { say } from "./words.js";

const source = document.getElementById("guided-data"), form = document.getElementById("guided-form");
const data = source && JSON.parse(source.textContent), answerBox = document.getElementById("answer");
let saved = [];

const input = (name) => form.elements[name];
const entryBox = (name) => form.querySelector(`[data-entry="${name}"]`);

function collect() {
  const found = [], errors = {};
  for (const [name, row] of Object.entries(data.items)) {
    const text = input(name) ? input(name).value.trim() : "";
    if (!text) continue;
    const choice = Object.keys(row.choices).length ? text : "";
    try {
      found.push({ name, row, value: choice ? null : storedValue(row, text), choice, shown: choice ? row.choices[choice] : `${text} ${row.unit}` });
    } catch (error) { errors[name] = error.message; }
  }
  if (!found.length && !Object.keys(errors).length) errors[""] = say("phone.nothing_typed");
  return { found, errors };
}

function showErrors(errors) {
  form.querySelectorAll(".has-errors").forEach((box) => box.classList.remove("has-errors"));
  form.querySelectorAll(".errors").forEach((old) => old.remove());
  const box = document.getElementById("refused"), names = Object.keys(errors);
  box.replaceChildren();
  if (!names.length) return;
  names.filter(Boolean).forEach((name) => {
    entryBox(name).append(errorList(errors[name]));
    entryBox(name).classList.add("has-errors");
  });
  showRefused(box, errors[""]);
}

function outside(row, value) {
  if (!row.usual || value === null || (value >= row.usual_stored[0] && value <= row.usual_stored[1])) return "";
  const usual = { low: row.usual[0], high: `${row.usual[1]} ${row.unit}` };
  return `, ${say(value < row.usual_stored[0] ? "phone.below_usual" : "phone.above_usual", usual)}`;
}

function fact(entry, value, choice) {
  return { kind: "entry", id: newId(), job: data.job, sheet: data.sheet, item: entry.row.item, place: entry.row.place, value, choice };
}

async function save() {
  const { found, errors } = collect();
  showErrors(errors);
  if (Object.keys(errors).length) return;
  found.forEach((entry) => { entry.typed = input(entry.name).value; empty(entry.name); });  // a second press finds nothing to save
  const { kept, answers } = await saveFacts(found.map((e) => [fact(e, e.value, e.choice), `${data.number}, ${data.title}: ${e.row.label} ${e.shown}`]));
  const stored = (i) => kept || answers[i].state === "stored", refused = {};
  saved = found.filter((_, i) => stored(i));
  found.forEach((entry, i) => {
    if (stored(i)) return;
    if (!input(entry.name).value) input(entry.name).value = entry.typed;
    refused[entry.name] = answers[i].reason;
  });
  show(kept ? say("phone.saved") : say("phone.stored_at_once"));
  showErrors(refused);
  requestAnimationFrame(() => setTimeout(tellLast));
}

function tellLast() {
  for (const entry of saved) {
    const last = entryBox(entry.name).querySelector(".last");
    last.textContent = say("phone.stands_there", { what: `${entry.shown}${outside(entry.row, entry.value)}` });
    last.hidden = false;
  }
}

// A page that was kept does not show what was saved here since.
async function recall() {
  const standing = {};
  for (const f of await savedSince(new Date(data.printed_at))) {
    if (f.kind === "entry" && f.job === data.job && f.sheet === data.sheet) standing[`${f.item}-${f.place}`] = f;
  }
  for (const [name, { value, choice }] of Object.entries(standing)) {
    const row = data.items[name];
    if (!row) continue;
    const last = entryBox(name).querySelector(".last"), shown = choice ? row.choices[choice] : value !== null && withUnit(row, value);
    last.textContent = say("phone.stands_there", { what: `${shown}${outside(row, value)}` });
    last.hidden = !shown;
  }
}

function empty(name) {
  const field = input(name);
  if (field.matches && field.matches("input")) field.value = "";
  else [...field].forEach((radio) => { radio.checked = false; });
}

function show(state, undone) {
  if (!saved.length) return;
  const box = el("section", "", { className: "answer" }), list = el("ul", "", { className: "told" });
  list.append(...saved.map((e) => el("li", `${e.row.label}: ${e.shown}${outside(e.row, e.value)}`)));
  box.append(el("p", state, { className: "state" }), list);
  if (!undone) {
    const undo = el("button", say("phone.undo"), { type: "button", className: "undo" });
    undo.addEventListener("click", takeBack);
    box.append(undo);
  }
  answerBox.replaceChildren(box);
  answerBox.scrollIntoView({ block: "start" });
}

async function takeBack() {
  const gone = saved;
  const { kept, answers } = await saveFacts(gone.map((e) => [fact(e, null, ""), say("phone.taken_back_of", { what: `${data.number}, ${e.row.label}` })]));
  const left = gone.filter((_, i) => !kept && answers[i].state !== "stored");
  gone.filter((entry) => !left.includes(entry)).forEach((entry) => { entryBox(entry.name).querySelector(".last").hidden = true; });
  if (left.length) { showErrors(Object.fromEntries(left.map((e) => [e.name, say("phone.not_taken_back_because", { why: answers[gone.indexOf(e)].reason })]))); return; }
  show(say("phone.taken_back"), true);
}

async function keepPhoto(event) {
  event.preventDefault();
  const file = document.getElementById("photo").files[0];
  if (!file) return;
  const { kept, answer } = await saveFact({ kind: "photo", id: newId(), job: data.job, sheet: data.sheet }, say("phone.photo_of", { what: `${data.number}, ${data.title}` }), { blob: file });
  if (!kept && answer.state !== "stored") { showErrors({ "": answer.reason }); return; }
  event.target.reset();
  answerBox.replaceChildren(el("p", kept ? say("phone.photo_saved") : say("phone.photo_stored"), { className: "state" }));
  answerBox.scrollIntoView({ block: "start" });
}

export function startGuided() {
  if (!source || !form) return;
  for (const [name, row] of Object.entries(data.items)) {
    if (!input(name).matches || Object.keys(row.choices).length) continue;
    input(name).dataset.pad = "";
    if (row.low < 0) input(name).dataset.minus = "";
  }
  recall().catch(() => null);  // a phone that keeps nothing has nothing to recall
  form.addEventListener("submit", (event) => { event.preventDefault(); closePad(); save(); });
  document.getElementById("photo-form").addEventListener("submit", keepPhoto);
}
