// The list takes one scan after the other without a new page: the box is empty again before the answer is there.
(function () {
  "use strict";

  const form = document.querySelector("form.batch-scan");
  if (!form) return;
  const box = form.elements.code;

  form.addEventListener("htmx:beforeSend", function () { box.value = ""; });
  form.addEventListener("htmx:sendError", function (event) { box.value = event.detail.requestConfig.parameters.code || ""; });
  document.addEventListener("htmx:afterSwap", function () { box.focus(); });
})();
