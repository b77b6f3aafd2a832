// The number pad: large keys, comma and point, a minus only where it means something.

const pad = document.getElementById("pad");
let field = null;
const fields = () => [...document.querySelectorAll("[data-pad]")].filter((f) => f.offsetParent !== null);

function openFor(input) {
  field = input;
  pad.hidden = false;
  document.body.classList.add("pad-open");
  pad.querySelector("[data-key='minus']").disabled = !("minus" in input.dataset);
  const at = fields().indexOf(input);
  pad.querySelector("[data-key='next']").disabled = at < 0 || at === fields().length - 1;
  input.scrollIntoView({ block: "center" });
}

export function closePad() {
  if (!pad) return;
  pad.hidden = true;
  field = null;
  document.body.classList.remove("pad-open");
}

function type(text) {
  const at = field.selectionStart ?? field.value.length, to = field.selectionEnd ?? at;
  field.setRangeText(text, at, to, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function erase() {
  const at = field.selectionStart, to = field.selectionEnd;
  field.setRangeText("", at === to ? Math.max(0, at - 1) : at, to, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

const sign = () => { field.value = /^[-−]/.test(field.value) ? field.value.slice(1) : "−" + field.value; };
function next() { const all = fields(); const to = all[all.indexOf(field) + 1]; if (to) to.focus(); }

// Once the sheets have said which fields are for the pad.
export function startPad() {
  if (!pad) return;
  document.addEventListener("focusin", (event) => {
    if (event.target.matches("[data-pad]")) openFor(event.target);
    else if (!pad.contains(event.target)) closePad();
  });
  // A field that still has the focus, its pad closed, is tapped again.
  document.addEventListener("click", (event) => { if (event.target.matches("[data-pad]") && event.target !== field) openFor(event.target); });
  // The field keeps the focus while keys are tapped.
  pad.addEventListener("pointerdown", (event) => event.preventDefault());
  pad.addEventListener("mousedown", (event) => event.preventDefault());
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key || !field) return;
    const does = { erase, minus: sign, next, close: () => { field.blur(); closePad(); } }[key.dataset.key];
    if (does) does();
    else if (key.dataset.key === "save") { const form = field.form; field.blur(); closePad(); form.requestSubmit(); }
    else type(key.dataset.key);
  });
  document.querySelectorAll("[data-pad]").forEach((input) => { input.inputMode = "none"; });
  // One of them may have been touched before any script was there.
  if (document.activeElement && document.activeElement.matches("[data-pad]")) openFor(document.activeElement);
}
