// A hand scanner types like a keyboard, very fast, and ends with Enter, Tab or nothing. Wherever the focus is, a scanned
// ticket opens its sheet, and a box that happened to have the focus gets back what it held.
(function () {
  "use strict";

  // A slow tablet delivers a scanner's keys unevenly, so the pace is judged over the whole code.
  const LONGEST_GAP_MS = 150;
  const SCANNER_PACE_MS = 45;
  const TICKET_CODE = /^[A-Z2-7]{26}$/;
  let burst = null;
  let silence = 0;

  // A page that collects scans has a box of its own, which goes before the one in the header.
  const form = function () {
    return document.querySelector("main form[data-scan]") || document.querySelector("form[data-scan]");
  };
  const isEditable = function (node) {
    return node instanceof HTMLElement && (node.isContentEditable || node.matches("input, textarea, select"));
  };

  // A 130-bit code in base32, alone or as the last part of an address, in either case and with any grouping.
  function ticketCode(text) {
    const last = text.trim().replace(/[\s-]/g, "").toUpperCase().split("/").filter(Boolean).pop() || "";
    return TICKET_CODE.test(last) ? last : "";
  }

  function open(code) {
    const scan = form();
    if (!scan) return false;
    scan.elements.code.value = code;
    scan.requestSubmit();
    return true;
  }

  function begin(event, now) {
    const box = isEditable(event.target) ? event.target : null;
    burst = { text: "", first: now, last: now, box: box, before: box && "value" in box ? box.value : null };
  }

  function restore(caught) {
    if (!caught.box || caught.before === null) return;
    caught.box.value = caught.before;
    caught.box.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // True when what was typed was a ticket and its sheet is being opened.
  function finish() {
    const caught = burst;
    burst = null;
    clearTimeout(silence);
    const scan = form();
    if (!caught || !scan || (caught.box && scan.contains(caught.box))) return false;
    const pace = (caught.last - caught.first) / Math.max(1, caught.text.length - 1);
    const code = pace <= SCANNER_PACE_MS ? ticketCode(caught.text) : "";
    if (!code) return false;
    restore(caught);
    return open(code);
  }

  // A reader without a suffix just falls silent; in the scan box itself that is its Enter.
  function fallSilent() {
    const caught = burst;
    const scan = form();
    if (!caught || !scan || !caught.box || !scan.contains(caught.box)) return finish();
    burst = null;
    const pace = (caught.last - caught.first) / Math.max(1, caught.text.length - 1);
    if (pace <= SCANNER_PACE_MS && ticketCode(caught.text)) scan.requestSubmit();
    return true;
  }

  function onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const now = event.timeStamp;
    if (event.key === "Enter" || event.key === "Tab") {
      const wasTyping = burst !== null && now - burst.last < LONGEST_GAP_MS;
      if (wasTyping && finish()) event.preventDefault();
      else if (wasTyping) tabInScanBox(event);
      return;
    }
    if (event.key.length !== 1) return;
    if (!burst || now - burst.last > LONGEST_GAP_MS) begin(event, now);
    burst.text += event.key;
    burst.last = now;
    clearTimeout(silence);
    silence = setTimeout(fallSilent, LONGEST_GAP_MS);
  }

  // In the scan box itself a scanner's Tab does what Enter does, but a hand's Tab still moves on.
  function tabInScanBox(event) {
    const scan = form();
    if (event.key !== "Tab" || event.shiftKey || !scan || event.target !== scan.elements.code) return;
    if (!ticketCode(scan.elements.code.value)) return;
    event.preventDefault();
    scan.requestSubmit();
  }

  // Enter in a box of figures never sends the form: it is a scanner's Enter more often than a wish.
  function keepEnter(event) {
    const box = event.target;
    if (event.key !== "Enter" || !(box instanceof HTMLInputElement) || !box.form) return;
    if (box.form.querySelector(".no-enter") && !/^(submit|button|reset|image|checkbox|radio|file)$/.test(box.type)) event.preventDefault();
  }

  document.addEventListener("keydown", onKey, true);
  document.addEventListener("keydown", keepEnter);
})();
