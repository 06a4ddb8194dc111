// Single keys on the office's lists: outside boxes only, and never for a hand scanner, which types letters too.
(function () {
  "use strict";

  // A scanner's keys come closer than this; a key counts once nothing else has come for so long.
  const ALONE_MS = 170;
  const MOVES = { j: 1, k: -1 };
  let last = -ALONE_MS;
  let waiting = 0;
  let held = "";

  const rows = function () { return Array.from(document.querySelectorAll("[data-row]")); };
  const at = function () { return document.querySelector("[data-row].is-at"); };
  const linkOf = function (row) { return row && row.querySelector("a[href]"); };
  const tickOf = function (row) { return row && row.querySelector("input[type=checkbox]"); };
  const isBox = function (node) {
    return node instanceof HTMLElement &&
      (node.isContentEditable || node.matches("textarea, select, input:not([type=checkbox], [type=radio], [type=submit], [type=button])"));
  };

  // Whoever reached a row by Tab or a tap goes on from there.
  function current() {
    const focused = document.activeElement && document.activeElement.closest("[data-row]");
    return focused || at();
  }

  function move(step) {
    const all = rows();
    if (!all.length) return;
    const here = all.indexOf(current());
    const next = all[here < 0 ? (step > 0 ? 0 : all.length - 1) : Math.min(all.length - 1, Math.max(0, here + step))];
    all.forEach(function (row) { row.classList.toggle("is-at", row === next); });
    const link = linkOf(next);
    if (link) link.focus({ preventScroll: true });
    next.scrollIntoView({ block: "center" });
  }

  function open() {
    const link = linkOf(current());
    if (link) link.click();
  }

  function tick() {
    const box = tickOf(current());
    if (box) box.click();
  }

  function give() {
    const own = current() && current().querySelector("select[name=to]");
    const box = own || document.getElementById("id_do");
    if (box) box.focus();
  }

  function print() {
    const form = document.querySelector("form[data-bulk]");
    const link = document.querySelector("a[data-print]");
    if (!form) {
      if (link) link.click();
      return;
    }
    if (!form.querySelector("tbody input[type=checkbox]:checked")) tick();
    form.elements.do.value = "tickets";
    form.requestSubmit();
  }

  function search() {
    const box = document.getElementById("id_q") || document.getElementById("scan-code");
    if (box) box.focus();
  }

  function help() {
    const keys = document.getElementById("keys");
    keys.open = true;
    keys.querySelector("summary").focus();
    keys.scrollIntoView({ block: "nearest" });
  }

  const DEEDS = {
    "/": search, "?": help, o: open, x: tick, a: give, p: print,
    j: function () { move(MOVES.j); }, k: function () { move(MOVES.k); },
  };

  function run(key) {
    held = "";
    if (DEEDS[key]) DEEDS[key]();
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing || event.key.length !== 1) return;
    const soon = event.timeStamp - last < ALONE_MS;
    last = event.timeStamp;
    clearTimeout(waiting);
    if (isBox(event.target)) return;
    // The same way twice in a row is a hurried hand, not a scanner.
    if (soon && held === event.key && event.key in MOVES) run(held);
    else if (soon) {
      held = "";
      return;
    }
    if (!(event.key in DEEDS)) return;
    if (event.key === "/" || event.key === "?") event.preventDefault();
    held = event.key;
    waiting = setTimeout(run, ALONE_MS, event.key);
  }

  document.addEventListener("keydown", onKey);
})();
