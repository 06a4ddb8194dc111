// Where the browser can read codes by itself, its camera stands in for a reader. Elsewhere the button stays hidden.
(function () {
  "use strict";

  const said = document.currentScript.dataset;
  const buttons = document.querySelectorAll("[data-camera]");
  const able = "BarcodeDetector" in window && navigator.mediaDevices && "HTMLDialogElement" in window;
  if (!buttons.length || !able) return;

  const PAUSE_MS = 150;
  let detector = null;
  let dialog = null;
  let stream = null;

  function element(name, words, className) {
    const made = document.createElement(name);
    if (words) made.textContent = words;
    if (className) made.className = className;
    return made;
  }

  function build() {
    dialog = element("dialog", "", "camera");
    dialog.setAttribute("aria-label", said.title);
    const video = element("video");
    video.muted = true;
    video.playsInline = true;
    const words = element("p", said.hold);
    words.setAttribute("role", "status");
    const close = element("button", said.close, "button");
    close.type = "button";
    close.addEventListener("click", function () { dialog.close(); });
    dialog.addEventListener("close", stop);
    dialog.append(video, words, close);
    document.body.append(dialog);
  }

  function stop() {
    if (stream) stream.getTracks().forEach(function (track) { track.stop(); });
    stream = null;
  }

  function say(words) {
    dialog.querySelector("p").textContent = words;
  }

  async function open(form) {
    if (!dialog) build();
    say(said.hold);
    dialog.showModal();
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" }, audio: false });
    } catch (error) {
      say(said.unusable);
      return;
    }
    // Closed again while the browser was still asking for leave.
    if (!dialog.open) return stop();
    const video = dialog.querySelector("video");
    video.srcObject = stream;
    video.play().catch(function () {});
    look(form, video, stream);
  }

  async function look(form, video, mine) {
    while (stream === mine) {
      const found = await detector.detect(video).catch(function () { return []; });
      if (stream !== mine) return;
      if (found.length) return take(form, found[0].rawValue);
      await new Promise(function (done) { setTimeout(done, PAUSE_MS); });
    }
  }

  function take(form, text) {
    dialog.close();
    form.elements.code.value = text.trim().slice(0, 200);
    form.requestSubmit();
  }

  function offer(formats) {
    if (!formats.includes("qr_code")) return;
    detector = new window.BarcodeDetector({ formats: ["qr_code"] });
    buttons.forEach(function (button) {
      button.hidden = false;
      button.addEventListener("click", function () { open(button.form); });
    });
  }

  window.BarcodeDetector.getSupportedFormats().then(offer).catch(function () {});
})();
