// The list takes one scan after the other without a new page: the box is empty for the next while the last is on its way.
(function () {
  "use strict";

  const form = document.querySelector("form.batch-scan");
  if (!form) return;
  const box = form.elements.code;
  let earlier = Promise.resolve();

  function send(code) {
    const values = { code: code, csrfmiddlewaretoken: form.elements.csrfmiddlewaretoken.value };
    return window.htmx.ajax("POST", form.action, { target: "#batch", swap: "outerHTML", values: values })
      .catch(function () { if (box.value === "") box.value = code; });
  }

  // In their order, one at a time: the list lies in the session, where two at once would lose one.
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    const code = box.value.trim();
    box.value = "";
    if (code) earlier = earlier.then(function () { return send(code); });
  });

  document.addEventListener("htmx:afterSwap", function () {
    if (document.activeElement === document.body) box.focus();
  });
})();
