// Pieces of a page that are made by the script.

export function el(tag, text, more) {
  const made = Object.assign(document.createElement(tag), more || {});
  if (text) made.textContent = text;
  return made;
}

export function errorList(text) {
  const list = el("ul", "", { className: "errors" });
  list.append(el("li", text));
  return list;
}

// Why nothing was saved, where the eye falls.
export function showRefused(box, reason) {
  const told = el("div", "", { className: "refused" });
  told.setAttribute("role", "alert");
  told.append(el("strong", "Not saved."), ` What you typed is still here. ${reason || ""}`);
  box.append(told);
  box.scrollIntoView({ block: "center" });
}

// The word of a verdict with its shape, as the page brought it; null for a code that it does not know.
export function verdictOf(code) {
  const template = document.querySelector(`template[data-word="${code}"]`);
  return template && template.content.cloneNode(true);
}
