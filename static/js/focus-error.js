// After an error the summary takes the focus, on a whole page and on a swapped fragment alike.
(function () {
  "use strict";

  function focusSummary(root) {
    const summary = root.querySelector("[data-takes-focus]");
    if (summary) summary.focus();
  }

  // A link of the summary lands on the box itself; a group of choices lands on its first one.
  function followLink(event) {
    const link = event.target.closest(".error-summary a[href^='#']");
    if (!link) return;
    const target = document.getElementById(link.hash.slice(1));
    const box = target && (target.matches("input, select, textarea") ? target : target.querySelector("input, select, textarea"));
    if (!box) return;
    event.preventDefault();
    box.scrollIntoView({ block: "center" });
    box.focus({ preventScroll: true });
  }

  focusSummary(document);
  document.addEventListener("htmx:afterSwap", function (event) { focusSummary(event.target.parentNode || document); });
  document.addEventListener("click", followLink);
})();
