// Passkeys, the browser's part: it asks the device and sends on what that answers. Where the browser cannot, the button to sign in
// stays out of sight and the password opens as before; every rule is the server's.
const key = window.PublicKeyCredential;
const can = Boolean(key?.parseRequestOptionsFromJSON && key.parseCreationOptionsFromJSON && key.prototype.toJSON);

async function made(form) {
  const publicKey = key.parseCreationOptionsFromJSON(JSON.parse(form.dataset.options));
  return navigator.credentials.create({ publicKey });
}

async function shown(form) {
  const headers = { "X-CSRFToken": form.elements.csrfmiddlewaretoken.value };
  const answer = await fetch(form.dataset.passkey, { method: "POST", headers });
  if (!answer.ok) throw new Error(answer.statusText);
  return navigator.credentials.get({ publicKey: key.parseRequestOptionsFromJSON(await answer.json()) });
}

function why(fault) {
  if (fault.name === "InvalidStateError") return "This device holds a passkey of yours already.";
  if (fault.name === "NotAllowedError") return "The device gave no passkey: it was cancelled, or the time was over. Press the button to try again.";
  return "The browser could not ask for a passkey. Load the page again, or go on without one.";
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  const told = form.querySelector("[data-told]");
  const making = form.dataset.passkey === "new";
  if (!can) {
    if (making) told.textContent = "This browser makes no passkeys. Try another one, or a newer one.";
    continue;
  }
  const shut = form.closest("[hidden]");
  if (shut) shut.hidden = false;
  let busy = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    told.textContent = "";
    try {
      form.elements.answer.value = JSON.stringify(await (making ? made(form) : shown(form)));
      form.submit();
    } catch (fault) {
      told.textContent = why(fault);
    }
    busy = false;
  });
}
