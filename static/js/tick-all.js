// One tick for all rows of a list, and how many are ticked. Without scripts each row is ticked by itself.
(function () {
  "use strict";

  const said = document.currentScript.dataset;

  function ticks(form) {
    return Array.from(form.querySelectorAll("tbody input[type=checkbox]"));
  }

  function count(form) {
    const all = ticks(form);
    const ticked = all.filter(function (box) { return box.checked; }).length;
    const words = form.querySelector("[data-ticked]");
    const whole = form.querySelector("[data-tick-all]");
    if (words) words.textContent = ticked ? said.words.replace("{n}", ticked) : "";
    if (whole) {
      whole.checked = all.length > 0 && ticked === all.length;
      whole.indeterminate = ticked > 0 && ticked < all.length;
    }
  }

  function show(root) {
    root.querySelectorAll("[data-needs-script]").forEach(function (part) { part.hidden = false; });
    root.querySelectorAll("form:has([data-tick-all])").forEach(count);
  }

  function change(event) {
    const form = event.target.form;
    if (!form || !form.querySelector("[data-tick-all]")) return;
    if (event.target.matches("[data-tick-all]")) {
      ticks(form).forEach(function (box) { box.checked = event.target.checked; });
    }
    count(form);
  }

  show(document);
  document.addEventListener("change", change);
  document.addEventListener("htmx:afterSwap", function () { show(document); });
})();
