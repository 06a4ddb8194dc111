// Before a bench device is locked, what is typed and not saved yet is kept: the next page would come too late for it.
(function () {
  "use strict";

  const lock = document.querySelector("form[data-lock]");
  if (!lock) return;

  lock.addEventListener("submit", function (event) {
    const sheet = document.querySelector("form[data-draft]");
    if (!sheet) return;
    event.preventDefault();
    const go = function () { lock.submit(); };
    fetch(sheet.dataset.draft, { method: "POST", body: new FormData(sheet) }).then(go, go);
  });
})();
