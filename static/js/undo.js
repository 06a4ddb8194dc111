// What can be taken back is offered for as long as the server would still do it.
(function () {
  "use strict";

  function begin(root) {
    root.querySelectorAll("[data-undo-seconds]").forEach(function (part) {
      const seconds = Number(part.dataset.undoSeconds);
      if (!seconds || part.dataset.running) return;
      part.dataset.running = "yes";
      setTimeout(function () {
        const had = part.contains(document.activeElement);
        part.replaceChildren();
        if (had) document.getElementById("content").focus();
      }, seconds * 1000);
    });
  }

  begin(document);
  document.addEventListener("htmx:afterSwap", function () { begin(document); });
})();
