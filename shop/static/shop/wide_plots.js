// Fetches the plot library on a wide screen only; a phone keeps the small curves that the server has drawn.
(function () {
  "use strict";
  const self = document.currentScript;
  if (!window.matchMedia("(min-width: 700px)").matches) return;
  function load(address, then) {
    const script = document.createElement("script");
    script.src = address;
    script.onload = then;
    document.head.append(script);
  }
  load(self.dataset.library, () => load(self.dataset.plots));
})();
