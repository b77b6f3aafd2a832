// On a wide screen the light drawings are replaced by plots to look into; a phone never loads the plot library.
(function () {
  "use strict";
  const me = document.currentScript;
  if (!window.matchMedia("(min-width: 60rem)").matches) return;
  function load(source, then) {
    const script = document.createElement("script");
    script.src = source;
    if (then) script.onload = then;
    document.head.appendChild(script);
  }
  function take() {
    document.querySelectorAll("[data-wide-plot]").forEach((box) => {
      box.classList.add("plot");
      box.dataset.plot = box.dataset.widePlot;
    });
    load(me.dataset.plots); // draws on its own as soon as it is there
  }
  load(me.dataset.plotly, take);
})();
