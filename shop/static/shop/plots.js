// Draws every [data-plot] element from the JSON in its script child, in the colours of the theme. Loaded on desk pages only.
(function () {
  "use strict";
  const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  function draw(box) {
    const source = document.getElementById(box.dataset.plot);
    if (!source || !window.Plotly) return;
    const figure = JSON.parse(source.textContent);
    const axis = { gridcolor: css("--line"), linecolor: css("--line-strong"), zerolinecolor: css("--line-strong") };
    const layout = Object.assign({}, figure.layout, {
      paper_bgcolor: "rgba(0,0,0,0)",
      plot_bgcolor: "rgba(0,0,0,0)",
      font: { family: "Noto Sans, sans-serif", size: 13, color: css("--ink") },
      autosize: true,
    });
    for (const key of Object.keys(layout)) {
      if (/^[xy]axis/.test(key)) layout[key] = Object.assign({}, axis, layout[key]);
    }
    box.textContent = "";
    // The drawing fills its box, so the box must be as tall as the drawing asks.
    if (layout.height) box.style.height = layout.height + "px";
    window.Plotly.react(box, figure.data, layout, { displayModeBar: false, responsive: true });
  }
  function drawAll(root) { root.querySelectorAll("[data-plot]").forEach(draw); }
  // May be fetched after the page stands.
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", () => drawAll(document));
  else drawAll(document);
  document.addEventListener("htmx:afterSwap", (event) => drawAll(event.target));
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawAll(document));
})();
