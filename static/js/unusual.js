// A neutral note beside a figure outside its usual range, once the box is left. The server decides; this only saves a turn.
(function () {
  "use strict";

  const said = document.currentScript.dataset;
  const SIGNS = { mm: "mm", deg: "°", "%": "%", min: "min", count: "" };
  const UNITS = { mm: ["mm"], deg: ["deg", "°"], "%": ["%"], min: ["min"], count: [] };
  const SAME_KEY = /[\uFF01-\uFF5E]/g;

  // Full-width keys are the same characters; every other look-alike is left to the server, which refuses it in words.
  function folded(text) {
    return text
      .replace(SAME_KEY, function (key) { return String.fromCharCode(key.charCodeAt(0) - 0xFEE0); })
      .replace(/[\t\r\n\u00A0\u2000-\u200A\u202F\u205F\u3000]/g, " ")
      .replace(/\u2212/g, "-")
      .replace(/\u339C/g, "mm")
      .toLowerCase()
      .trim();
  }

  function withoutUnit(text, unit) {
    const word = (UNITS[unit] || []).find(function (ending) { return text.endsWith(ending); });
    return word ? text.slice(0, -word.length).trimEnd() : text;
  }

  // The number that was typed, or null where it can't be read for certain.
  function readFigure(text, unit, negative) {
    const number = withoutUnit(folded(text), unit);
    const found = /^([+-]?) *([0-9]{0,3})(?:[.,]([0-9]{1,2}))?$/.exec(number);
    if (!found || !(found[2] || found[3])) return null;
    if (found[1] && !negative) return null;
    if (found[3] && unit === "count") return null;
    const size = Number((found[2] || "0") + "." + (found[3] || "0"));
    return found[1] === "-" ? -size : size;
  }

  function noteOf(box) {
    const ids = (box.getAttribute("aria-describedby") || "").split(" ");
    return ids.map(function (id) { return document.getElementById(id); })
      .find(function (part) { return part && part.classList.contains("neutral"); });
  }

  // Not by the browser's own tables of languages: to load them takes longer than a press may.
  function shown(figure) {
    return String(figure).replace(".", said.point).replace("-", "\u2212");
  }

  function words(box) {
    const unit = box.dataset.unit || "mm";
    const value = readFigure(box.value, unit, "negative" in box.dataset);
    const low = Number(box.dataset.usualLow);
    const high = Number(box.dataset.usualHigh);
    const sign = SIGNS[unit] === "°" ? "°" : SIGNS[unit] ? " " + SIGNS[unit] : "";
    if (box.value.trim() === "") return "";
    if (value === null) return said.unread;
    if (value >= low && value <= high) return "";
    return said.unusual.replace("{low}", shown(low)).replace("{high}", shown(high) + sign);
  }

  function update(event) {
    const box = event.target;
    if (!(box instanceof HTMLInputElement) || !("usualLow" in box.dataset)) return;
    const note = noteOf(box);
    if (note) note.textContent = words(box);
  }

  function clear(event) {
    const box = event.target;
    if (!(box instanceof HTMLInputElement) || !("usualLow" in box.dataset)) return;
    const note = noteOf(box);
    if (note && note.textContent && !words(box)) note.textContent = "";
  }

  document.addEventListener("change", update);
  document.addEventListener("input", clear);
})();
