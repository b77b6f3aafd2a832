// Small helps for every page. Nothing here is needed for a page to work.

const trouble = () => document.getElementById("trouble");
function say(text) {
  const box = trouble();
  if (!box) return;
  box.textContent = text;
  box.className = "caution stop";
}
document.addEventListener("htmx:responseError", (event) => {
  say("The workshop computer answered " + event.detail.xhr.status + ". What you typed is still here: try again, or reload the page.");
});
document.addEventListener("htmx:sendError", () => {
  say("No connection to the workshop computer. What you typed is still here: try again when the network is back.");
});
// A second tap on a button that is already sending does nothing.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) { event.preventDefault(); return; }
  if (!form.hasAttribute("hx-post")) {
    form.dataset.sent = "yes";
    setTimeout(() => { delete form.dataset.sent; }, 4000);
  }
});
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) window.print();
});
