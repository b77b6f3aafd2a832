// Lists what is on this phone: not sent, refused with the reason, removed by hand, sent.
(function () {
  "use strict";
  const box = document.getElementById("outbox-list");
  const GROUPS = [
    ["waiting", "Saved here, not sent"],
    ["refused", "Refused"],
    ["removed", "Left out by hand"],
    ["sent", "Sent"],
  ];

  function el(tag, text, more) {
    const made = Object.assign(document.createElement(tag), more || {});
    if (text) made.textContent = text;
    return made;
  }

  function button(text, does) {
    const made = el("button", text, { type: "button", className: "quiet-key" });
    made.addEventListener("click", () => does().then(show));
    return made;
  }

  function row(item) {
    const made = el("li", "", { className: "kept" });
    made.append(el("strong", item.label), el("span", new Date(item.fact.made_at).toLocaleString(), { className: "when" }));
    if (item.user !== Outbox.user) made.append(el("p", "Belongs to another log-in and is sent only after that one."));
    if (item.state === "refused") made.append(el("p", item.answer.reason, { className: "reason" }));
    if (item.state === "sent" && item.answer.verdict) made.append(el("p", `Verdict: ${item.answer.verdict}`));
    if (item.state === "refused") made.append(button("Send again", () => Outbox.retry(item.id)), button("Leave it out", () => Outbox.move(item.id, "removed")));
    if (item.state === "removed") made.append(button("Put it back", () => Outbox.move(item.id, "refused")));
    return made;
  }

  async function show() {
    let items;
    try { items = await Outbox.all(); } catch { box.replaceChildren(el("p", "This phone refuses to keep anything, so readings are sent at once.")); return; }
    box.replaceChildren(...GROUPS.flatMap(([state, title]) => {
      const found = items.filter((item) => item.state === state).reverse();
      if (!found.length) return [];
      const list = el("ul", "", { className: "kept-items" });
      list.append(...found.slice(0, 200).map(row));
      return [el("h2", `${title} (${found.length})`), list];
    }));
    if (!items.length) box.replaceChildren(el("p", "Nothing yet. What you save at the engine will stand here.", { className: "empty" }));
  }

  document.getElementById("send-now").addEventListener("click", () => Outbox.flush().then(show));
  Outbox.listen(show);
})();
