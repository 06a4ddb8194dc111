// The bench sheet: Enter goes on to the next figure, and the drawing shows which one is meant.
(function () {
  "use strict";

  const sheet = document.getElementById("sheet");
  if (!sheet) return;

  const figures = function () { return Array.from(sheet.querySelectorAll("input.box-figure")); };
  const dimensionOf = function (node) { return node instanceof Element ? node.closest(".dimension") : null; };

  // ---- Enter ----

  // From any reading of a figure to the next figure's first one; after the last to the button that saves.
  function goOn(event) {
    const box = event.target;
    if (event.key !== "Enter" || !(box instanceof HTMLInputElement) || !box.matches(".box-figure")) return;
    event.preventDefault();
    const own = dimensionOf(box);
    const all = figures();
    const next = all.slice(all.indexOf(box) + 1).find(function (other) { return dimensionOf(other) !== own; });
    const target = next || sheet.querySelector(".save-bar button");
    target.focus();
    if (next) next.select();
  }

  // ---- the drawing ----

  function show(dimension) {
    document.querySelectorAll(".is-at").forEach(function (node) { node.classList.remove("is-at"); });
    if (!dimension) return;
    dimension.classList.add("is-at");
    const part = dimension.closest(".arch-part");
    if (!part) return;
    part.querySelectorAll(".arch-drawing [data-dimension='" + dimension.dataset.dimension + "']")
      .forEach(function (node) { node.classList.add("is-at"); });
  }

  sheet.addEventListener("keydown", goOn);
  sheet.addEventListener("focusin", function (event) { show(dimensionOf(event.target)); });
  sheet.addEventListener("focusout", function (event) { if (!dimensionOf(event.relatedTarget)) show(null); });

  // Coming from "Start" or "Save", the next empty figure is ready to be typed. The browser clears the focus when it goes
  // to the address's fragment, which it may do as late as when the page has loaded.
  function readyToType() {
    if (document.activeElement !== document.body || document.querySelector("[data-takes-focus]")) return;
    const empty = figures().find(function (box) {
      return Array.from(dimensionOf(box).querySelectorAll("input.box-figure")).every(function (other) { return other.value === ""; });
    });
    if (empty) empty.focus();
  }

  if (location.hash === "#figures") window.addEventListener("load", function () { setTimeout(readyToType, 0); });
})();
