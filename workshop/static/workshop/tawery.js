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
