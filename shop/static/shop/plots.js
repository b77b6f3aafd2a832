// Replaces the light drawings of the server by plots to look into, in the colours of the theme. A box names the JSON of its plot
// in data-plot, or in data-wide-plot where it is dressed as a plot only then. Where the screen is smaller than data-media asks,
// the library is never loaded.
const { plotly, media } = document.querySelector("script[data-plotly]").dataset;
const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function draw(box) {
  const source = document.getElementById(box.dataset.plot);
  if (!source) return;
  const figure = JSON.parse(source.textContent);
  const axis = { gridcolor: css("--line"), linecolor: css("--line-strong"), zerolinecolor: css("--line-strong") };
  const layout = {
    ...figure.layout,
    paper_bgcolor: "rgba(0,0,0,0)",
    plot_bgcolor: "rgba(0,0,0,0)",
    font: { family: "Noto Sans, sans-serif", size: 13, color: css("--ink") },
    autosize: true,
  };
  for (const key of Object.keys(layout)) {
    if (/^[xy]axis/.test(key)) layout[key] = { ...axis, ...layout[key] };
  }
  box.textContent = "";
  // The drawing fills its box, so the box must be as tall as the drawing asks.
  if (layout.height) box.style.height = `${layout.height}px`;
  window.Plotly.react(box, figure.data, layout, { displayModeBar: false, responsive: true });
}

const drawAll = (root) => root.querySelectorAll("[data-plot]").forEach(draw);

function start() {
  document.querySelectorAll("[data-wide-plot]").forEach((box) => {
    box.classList.add("plot");
    box.dataset.plot = box.dataset.widePlot;
  });
  drawAll(document);
  document.addEventListener("htmx:afterSwap", (event) => drawAll(event.target));
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawAll(document));
}

if (!media || window.matchMedia(media).matches) {
  const library = document.createElement("script"); // a classic script: it is somebody else's, as it comes
  library.src = plotly;
  library.onload = start;
  document.head.append(library);
}
