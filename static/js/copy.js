// A button that copies what stands in a box. Without scripts, or where copying is not allowed, the box can be copied by hand.
(function () {
  "use strict";

  const said = document.currentScript.dataset;
  if (!navigator.clipboard) return;

  document.querySelectorAll("button[data-copies]").forEach(function (button) {
    const box = document.getElementById(button.dataset.copies);
    const words = button.textContent;
    button.hidden = false;
    button.addEventListener("click", function () {
      navigator.clipboard.writeText("value" in box ? box.value : box.innerText).then(function () {
        button.textContent = said.copied;
        setTimeout(function () { button.textContent = words; }, 2000);
      }, function () { if (box.select) box.select(); });
    });
  });
})();
