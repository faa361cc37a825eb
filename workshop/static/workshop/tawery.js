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

document.addEventListener("DOMContentLoaded", () => {
  document.querySelector(".summary")?.focus();
  const here = document.querySelector(".rooms [aria-current]");
  if (here) here.parentElement.scrollLeft = here.offsetLeft - 24;
});

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
