// What is wrong with the page as a person with thumbs, a keyboard or a screen reader meets it; an empty list is good.
// What is folded is unfolded for the look, and stays so in the page itself.
() => {
  const faults = [];
  const folds = [...document.querySelectorAll("details:not([open])")];
  for (const fold of folds) fold.open = true;
  // A button out of sight and reach only lets Enter send its form.
  const seen = (thing) => {
    if (thing.matches("[tabindex='-1'][aria-hidden=true]")) return false;
    const box = thing.getBoundingClientRect();
    return box.width > 1 && box.height > 1 && thing.checkVisibility({ visibilityProperty: true });
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

  // A tick is small by nature; its label is the target (WCAG 2.2 SC 2.5.8).
  const target = (thing) => (["checkbox", "radio"].includes(thing.type) ? thing.closest("label") || thing : thing);
  const controls = "button, a.btn, a.card, nav a, input:not([type=hidden]), select, summary";
  for (const thing of document.querySelectorAll(controls)) {
    if (!seen(thing) || thing.matches(".skip")) continue;
    const height = target(thing).getBoundingClientRect().height;
    if (height < 43.5) faults.push(`${height.toFixed(1)} px high: ${name(thing)}`);
    if (thing.matches("a, button, summary") && !(thing.textContent.trim() || thing.getAttribute("aria-label")))
      faults.push(`says nothing: ${name(thing)}`);
  }

  // In the shed a glove must hit: 15 mm, that is 57 px at 96 to the inch. A link inside running text is as small as its text.
  const inline = (thing) => getComputedStyle(thing).display === "inline";
  const running = (link) => {
    if (!inline(link)) return false;
    let around = link.parentElement;
    while (inline(around)) around = around.parentElement;
    return getComputedStyle(around).display !== "flex" && around.textContent.trim() !== link.textContent.trim();
  };
  if (document.body.classList.contains("shed")) {
    for (const thing of document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")) {
      if (!seen(thing) || thing.matches(".skip") || (thing.matches("a") && running(thing))) continue;
      const box = target(thing).getBoundingClientRect();
      if (Math.min(box.width, box.height) < 56.5)
        faults.push(`no glove hits ${box.width.toFixed(1)} x ${box.height.toFixed(1)} px: ${name(thing)}`);
    }
  }

  const ids = [...document.querySelectorAll("[id]")].map((thing) => thing.id);
  for (const id of new Set(ids.filter((id, at) => ids.indexOf(id) !== at))) faults.push(`twice the id ${id}`);
  for (const fold of folds) if (fold.closest("header")) fold.open = false;
  return faults;
}
