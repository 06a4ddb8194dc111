// Asks the browser for a passkey and sends what it answers with the form. The page brings the question, in its form.
(function () {
  "use strict";

  const form = document.querySelector("form[data-passkey]");
  if (!form) return;
  const button = form.querySelector("button[data-asks]");
  const says = form.querySelector("[data-says]");

  function bytes(text) {
    const plain = atob(text.replace(/-/g, "+").replace(/_/g, "/"));
    return Uint8Array.from(plain, function (letter) { return letter.charCodeAt(0); });
  }

  function text(buffer) {
    const letters = Array.from(new Uint8Array(buffer), function (byte) { return String.fromCharCode(byte); });
    return btoa(letters.join("")).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  }

  function asked() {
    const options = JSON.parse(form.dataset.question).publicKey;
    options.challenge = bytes(options.challenge);
    if (options.user) options.user.id = bytes(options.user.id);
    ["allowCredentials", "excludeCredentials"].forEach(function (list) {
      if (options[list]) options[list] = options[list].map(function (one) { return Object.assign({}, one, { id: bytes(one.id) }); });
    });
    return { publicKey: options };
  }

  function answer(credential) {
    const response = {};
    ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"].forEach(function (part) {
      if (credential.response[part]) response[part] = text(credential.response[part]);
    });
    return {
      id: credential.id,
      rawId: text(credential.rawId),
      type: credential.type,
      response: response,
      clientExtensionResults: credential.getClientExtensionResults(),
    };
  }

  function failed() {
    says.textContent = says.dataset.failed;
  }

  if (!window.PublicKeyCredential || !window.isSecureContext) {
    says.textContent = says.dataset.notHere;
    return;
  }
  button.hidden = false;

  form.addEventListener("submit", function (event) {
    if (event.submitter !== button || form.elements.passkey.value) return;
    event.preventDefault();
    says.textContent = says.dataset.asking;
    const way = form.dataset.passkey === "create" ? "create" : "get";
    navigator.credentials[way](asked()).then(function (credential) {
      form.elements.passkey.value = JSON.stringify(answer(credential));
      form.submit();
    }).catch(failed);
  });
})();
