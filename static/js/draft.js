// A long form keeps what is typed on the server while it is typed, so that a wrong turn or an empty battery loses nothing:
// at the address that its data-keeps-draft names, or else at its own.
(function () {
  "use strict";

  const form = document.querySelector("form[data-keeps-draft]");
  if (!form) return;

  let changed = false;
  let leavingBySubmit = false;
  let waiting = 0;

  function keep() {
    clearTimeout(waiting);
    if (!changed || leavingBySubmit) return;
    changed = false;
    const typed = new FormData(form);
    typed.append("draft", "keep");
    navigator.sendBeacon(form.dataset.keepsDraft || form.getAttribute("action"), typed);
  }

  function noteChange() {
    changed = true;
    clearTimeout(waiting);
    waiting = setTimeout(keep, 1500);
  }

  form.addEventListener("input", noteChange);
  form.addEventListener("change", noteChange);
  form.addEventListener("submit", function () { leavingBySubmit = true; });
  window.addEventListener("pagehide", keep);
  document.addEventListener("visibilitychange", function () { if (document.visibilityState === "hidden") keep(); });
  window.addEventListener("pageshow", function () { leavingBySubmit = false; });
})();
