// What is wrong with the page as a person with thumbs, a keyboard or a screen reader meets it; an empty list is good.
() => {
  const faults = [];
  const seen = (thing) => {
    const box = thing.getBoundingClientRect();
    return box.width > 1 && box.height > 1 && getComputedStyle(thing).visibility !== "hidden";
  };
  const name = (thing) => thing.outerHTML.slice(0, 90);
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 0) faults.push(`the page scrolls sideways by ${wide} px`);
  const titles = document.querySelectorAll("h1").length;
  if (titles !== 1) faults.push(`${titles} first headings`);
  let before = 0;
  for (const heading of document.querySelectorAll("h1, h2, h3, h4")) {
    const level = Number(heading.tagName[1]);
    if (level > before + 1) faults.push(`heading ${level} after ${before}: ${heading.textContent.trim()}`);
    before = level;
  }
  for (const field of document.querySelectorAll("input:not([type=hidden]), select, textarea")) {
    const said = [...(field.labels || [])].map((label) => label.textContent).join("") || field.getAttribute("aria-label");
    if (!said || !said.trim()) faults.push(`no label: ${name(field)}`);
  }
  for (const button of document.querySelectorAll("button, a.btn, a.card, nav a, input:not([type=hidden]), select, summary")) {
    if (!seen(button) || button.matches(".skip")) continue;
    // A tick is small by nature; its label is the target (WCAG 2.2 SC 2.5.8).
    const target = ["checkbox", "radio"].includes(button.type) ? button.closest("label") || button : button;
    const height = target.getBoundingClientRect().height;
    if (height < 43.5) faults.push(`${height.toFixed(1)} px high: ${name(button)}`);
    if (button.matches("a, button, summary") && !(button.textContent.trim() || button.getAttribute("aria-label")))
      faults.push(`says nothing: ${name(button)}`);
  }
  const ids = [...document.querySelectorAll("[id]")].map((thing) => thing.id);
  for (const id of new Set(ids.filter((id, at) => ids.indexOf(id) !== at))) faults.push(`twice the id ${id}`);
  return faults;
}
