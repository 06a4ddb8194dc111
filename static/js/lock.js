// Before a bench device is locked, what is typed and not saved yet is kept: the next page would come too late for it.
(function () {
  "use strict";

  const lock = document.querySelector("form[data-lock]");
  if (!lock) return;

  lock.addEventListener("submit", function (event) {
    const form = document.querySelector("form[data-keeps-draft]");
    if (!form) return;
    event.preventDefault();
    const go = function () { lock.submit(); };
    const typed = new FormData(form);
    typed.append("draft", "keep");
    fetch(form.dataset.keepsDraft || form.getAttribute("action"), { method: "POST", body: typed }).then(go, go);
  });
})();
