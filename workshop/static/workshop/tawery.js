// Small comforts only: every page works without this file, and no rule of the workshop lives here.
"use strict";

// Two taps of a wet glove are one entry: the button that sent the form goes quiet. The server's request key is the real guard.
document.addEventListener("submit", (event) => {
  const sender = event.submitter;
  if (!sender || event.target.method === "get") return;
  // After the event, or the button's own name and value would be missing from what is sent.
  setTimeout(() => { if (!event.defaultPrevented) { sender.disabled = true; sender.setAttribute("aria-busy", "true"); } }, 0);
});

// A page taken back from the browser's memory must be usable again.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  document.querySelectorAll("[aria-busy=true]").forEach((button) => { button.disabled = false; button.removeAttribute("aria-busy"); });
});

// Who has signed out leaves no page behind, neither in another tab nor in the browser's memory: the sign-in page, which shows
// to nobody who is signed in, says so to all of them, and they ask the server.
const LEFT = "tawery-left";
const ours = Boolean(document.body?.dataset.person);
function left() { try { return Number(localStorage.getItem(LEFT)); } catch { return 0; } }
if (document.querySelector("form[data-door]")) try { localStorage.setItem(LEFT, Date.now()); } catch { /* no store: no entry waits either */ }
window.addEventListener("storage", (event) => { if (ours && event.key === LEFT) location.reload(); });
window.addEventListener("pageshow", (event) => { if (ours && event.persisted && left() > performance.timeOrigin) location.reload(); });

document.addEventListener("DOMContentLoaded", () => {
  document.querySelector(".summary")?.focus();
  const here = document.querySelector(".rooms [aria-current]");
  if (here) here.parentElement.scrollLeft = here.offsetLeft - 24;
  const step = document.querySelector(".track [aria-current]");
  if (step) step.closest(".scroll").scrollLeft = step.offsetLeft - 24;
});

// The search is one key away, unless somebody types or has turned the key off (in Help).
document.addEventListener("keydown", (event) => {
  const field = document.querySelector("[data-find]");
  const typing = event.target.closest?.("input, textarea, select, [contenteditable]");
  if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey || typing || !field || document.body.dataset.slash) return;
  event.preventDefault();
  field.select();
});

// The owner's first page tells where the workshop stands; Setup may say something else, and is then asked no more.
const { zone } = document.body.dataset;
if (zone) fetch(zone, {
  method: "POST",
  keepalive: true,
  headers: { "X-CSRFToken": JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"] },
  body: new URLSearchParams({ zone: Intl.DateTimeFormat().resolvedOptions().timeZone }),
}).catch(() => { /* without a signal, the next page asks again */ });

// The menu "More" and the person's shut again by Escape and by a tap beside them.
const shut = (but) => document.querySelectorAll("details:is(.more, .me)[open]").forEach((menu) => { if (!menu.contains(but)) menu.open = false; });
document.addEventListener("click", (event) => shut(event.target));
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  event.target.closest?.("details:is(.more, .me)[open]")?.querySelector("summary").focus();
  shut(null);
});

// A caution is read once a day, and once on a page: after that it is one line, and opens for whoever wants it again.
document.addEventListener("DOMContentLoaded", () => {
  const day = new Date().toDateString();
  let read = { day, words: [] };
  try { const kept = JSON.parse(localStorage.getItem("cautions")); if (kept?.day === day) read = kept; } catch { /* none kept */ }
  document.querySelectorAll("details[data-daily]").forEach((caution) => {
    const words = [...caution.querySelectorAll("p")].map((line) => line.textContent).join(" ").replace(/\s+/g, " ").trim();
    if (read.words.includes(words)) caution.open = false;
    else read.words.push(words);
  });
  try { localStorage.setItem("cautions", JSON.stringify(read)); } catch { /* a full or shut store: all stay open */ }
});

window.addEventListener("beforeprint", () => document.querySelectorAll("details[data-daily]").forEach((caution) => { caution.open = true; }));

// An undo is offered for ten seconds, and the server refuses a later one. A hand that is on the button is never robbed of it.
const UNDO = 10000;
function leave(offer) {
  if (offer.contains(document.activeElement)) return offer.addEventListener("focusout", () => setTimeout(() => leave(offer), 0), { once: true });
  offer.classList.add("over"); // out of sight and reach; its place stays, or what is below would slide under the thumb
  const told = document.getElementById("kept-told");
  if (told) told.textContent = "The time for the undo is over.";
}
document.querySelectorAll("[data-undo]").forEach((offer) => setTimeout(() => leave(offer), UNDO));

// A running timer's minutes, counted from the start that the server keeps.
function tick() {
  document.querySelectorAll("[data-since]:not([data-since=''])").forEach((clock) => {
    const minutes = Math.max(0, Math.floor((Date.now() - Date.parse(clock.dataset.since)) / 60000));
    const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
    clock.textContent = hours ? `${hours} h ${String(rest).padStart(2, "0")} min` : `${rest} min`;
  });
}
setInterval(tick, 15000);

// A text made to be copied gets a button that does it, where the browser lets it.
if (navigator.clipboard) document.querySelectorAll("textarea[data-copy]").forEach((text) => {
  const button = document.createElement("button");
  Object.assign(button, { type: "button", className: "btn quiet small", textContent: "Copy" });
  button.addEventListener("click", async () => {
    text.select();
    try { await navigator.clipboard.writeText(text.value); button.textContent = "Copied"; } catch { text.focus(); }
  });
  text.after(button);
});
