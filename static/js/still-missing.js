// While a prescription is written, what it still lacks is struck from the list beside its button. The server says the same.
(function () {
  "use strict";

  const list = document.getElementById("still-missing");
  if (!list) return;

  function isFilled(id) {
    const box = document.getElementById(id);
    return Boolean(box) && (box.type === "checkbox" ? box.checked : box.value.trim() !== "");
  }

  function chosen(name) {
    const box = document.querySelector("select[name='" + name + "'], [name='" + name + "']:checked");
    return box ? box.value : "";
  }

  // Some things are asked for with some kinds of work and some places to come in alone.
  function isAsked(item) {
    if (!item.dataset.kinds) return true;
    return item.dataset.kinds.split(" ").includes(chosen("kind")) && item.dataset.starts.split(" ").includes(chosen("starts_at"));
  }

  function update() {
    const asked = Array.from(list.querySelectorAll("[data-missing]"));
    asked.forEach(function (item) { item.hidden = !isAsked(item) || item.dataset.missing.split(" ").some(isFilled); });
    list.querySelector("[data-nothing-missing]").hidden = asked.some(function (item) { return !item.hidden; });
  }

  document.addEventListener("input", update);
  document.addEventListener("change", update);
  window.addEventListener("pageshow", update);
})();
