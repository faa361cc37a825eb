// Taps on the photo of a hide become points in the boxes below it. What they measure the server works out; without this file the
// points are typed.
const form = document.querySelector("[data-tap]");
const stage = form.querySelector("[data-stage]");
const photo = stage.querySelector(".area-photo");
const drawn = photo.querySelector("#drawn");
const loupe = stage.querySelector("[data-loupe]");
const told = form.querySelector("[data-told]");
const [wide, high] = photo.getAttribute("viewBox").split(" ").slice(2).map(Number);
const boxes = { corners: form.elements.corners, outline: form.elements.outline, defects: form.elements.defects };
const PLACES = ["top left", "top right", "bottom right", "bottom left"];
const NEAR = { touch: 18, pen: 12, mouse: 9 }; // of the screen
const STILL = 5; // nor is so little a drag
const LOUPE = 3, MOST = 8;

let rings = {}; // corners and outline, and each defect as { kind, ring }
let chosen = "corners"; // or outline, or the place of a defect
let view = { x: 0, y: 0, w: wide, h: high };
let press = null, pinch = null, cross = null, panning = false, run = 0;
const past = [], fingers = new Map();

const marks = () => form.elements.way.value === "marks";
const most = () => (marks() ? 2 : 4);
const ring = () => (typeof chosen === "string" ? rings[chosen] : rings.defects[chosen].ring);
const kind = () => (typeof chosen === "string" ? chosen : rings.defects[chosen].kind);
const scale = () => photo.getScreenCTM().a; // of the screen's pixels to one of the photo
const button = (name) => form.querySelector(`[data-ring="${name}"]`);
const points = (text) => [...text.matchAll(/(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)/g)].map(([, x, y]) => [Number(x), Number(y)]);
const text = (list) => list.map(([x, y]) => `${Math.round(x * 10) / 10},${Math.round(y * 10) / 10}`).join(" ");
const within = (value, top) => Math.min(Math.max(value, 0), top);
const away = ([x, y], [a, b]) => Math.hypot(x - a, y - b);

function read() {
  rings = { corners: points(boxes.corners.value), outline: points(boxes.outline.value), defects: [] };
  for (const line of boxes.defects.value.split("\n")) {
    const [, word, rest] = line.match(/^\s*(hole|thin|scar|brand)\s*:(.*)$/i) || [];
    if (word) rings.defects.push({ kind: word.toLowerCase(), ring: points(rest) });
  }
  if (typeof chosen === "number" && !rings.defects[chosen]) chosen = "outline";
}

function write() {
  boxes.corners.value = text(rings.corners);
  boxes.outline.value = text(rings.outline);
  boxes.defects.value = rings.defects.filter((each) => each.ring.length).map((each) => `${each.kind}: ${text(each.ring)}`).join("\n");
  const figures = document.querySelector("[data-figures]:not(.stale)");
  if (!figures) return;
  figures.classList.add("stale");
  figures.querySelector("h2").textContent = "Of the points before: measure again";
  figures.querySelector("button").disabled = true;
}

const kept = () => ({ rings: structuredClone(rings), chosen });
const back = (to) => { ({ rings, chosen } = to); };

function shape(name, sort, at) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  made.setAttribute("class", sort);
  made.setAttribute(name === "path" ? "d" : "points", at);
  drawn.append(made);
}

function draw() {
  drawn.replaceChildren();
  const each = [["outline", rings.outline], ["corners", rings.corners], ...rings.defects.map((one) => [one.kind, one.ring])];
  for (const [sort, list] of each) for (const way of ["halo", sort]) {
    shape("polygon", way, text(list));
    const faint = list === ring() ? "" : " faint";
    shape("path", `${way} dots${faint}`, list.map(([x, y]) => `M${x},${y}h0`).join(""));
  }
  photo.setAttribute("viewBox", `${view.x} ${view.y} ${view.w} ${view.h}`);
  if (cross) {
    const arm = 14 / scale(), [x, y] = cross;
    for (const way of ["halo", "cross"]) shape("path", way, `M${x - arm},${y}H${x + arm}M${x},${y - arm}V${y + arm}`);
  }
  for (const one of form.querySelectorAll("[data-ring]")) {
    const name = one.dataset.ring;
    const count = name in rings ? rings[name].length : rings.defects.filter((two) => two.kind === name && two.ring.length).length;
    one.setAttribute("aria-pressed", String(name === kind()));
    one.querySelector("[data-count]").textContent = name === "corners" ? `${count} of ${most()}` : count || "";
  }
  form.querySelector("[data-name]").textContent = marks() ? "Marks" : "Corners";
}

function look(at) {
  loupe.hidden = !at;
  if (!at) return;
  const half = loupe.offsetWidth / 2, reach = half / (LOUPE * scale()), [x, y] = at;
  const glass = loupe.querySelector("svg");
  glass.setAttribute("viewBox", `${x - reach} ${y - reach} ${2 * reach} ${2 * reach}`);
  const lines = `M${x - reach / 3},${y}H${x + reach / 3}M${x},${y - reach / 3}V${y + reach / 3}`;
  for (const path of glass.querySelectorAll(":scope > path")) path.setAttribute("d", lines);
  // Above the finger; where there is no room, beside it.
  const box = stage.getBoundingClientRect(), seen = new DOMPoint(x, y).matrixTransform(photo.getScreenCTM());
  const left = seen.x - box.left, top = seen.y - box.top - 2 * half - 40;
  const beside = left > box.width / 2 ? left - 2 * half - 50 : left + 50;
  loupe.style.left = `${within(top < 0 ? beside : left - half, box.width - 2 * half)}px`;
  loupe.style.top = `${Math.max(top, 0)}px`;
}

function tell(words = "") {
  const list = ring(), name = kind();
  const next = {
    corners: list.length < most() ? (marks() ? `Tap mark ${list.length + 1} of 2.` : `Tap the ${PLACES[list.length]} inside corner of the frame.`) : "",
    outline: list.length < 3 ? "Tap along the edge of the hide, all round." : `${list.length} points: go on all round, then measure.`,
  };
  told.textContent = [words, next[name] ?? `Tap round the ${name === "thin" ? "thin place" : name}.`].filter(Boolean).join(" ");
}

function seen(event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(photo.getScreenCTM().inverse());
  return [within(at.x, wide), within(at.y, high)];
}

function nearest(at, most) {
  const lists = [[chosen, ring()], ["outline", rings.outline], ["corners", rings.corners], ...rings.defects.map((one, place) => [place, one.ring])];
  for (const [name, list] of lists) {
    const far = list.map((one) => away(one, at));
    const least = Math.min(...far);
    if (least <= most) return [name, far.indexOf(least)];
  }
  return null;
}

// A tap on the line between two points of the outline goes between them; else it is the next one.
function place(list, at, near) {
  const on = list.slice(0, -1).findIndex((start, number) => {
    const end = list[number + 1], long = away(start, end) || 1;
    const part = ((at[0] - start[0]) * (end[0] - start[0]) + (at[1] - start[1]) * (end[1] - start[1])) / long ** 2;
    const foot = [start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1])];
    return part > 0 && part < 1 && away(foot, at) < near;
  });
  return list.length > 2 && on >= 0 ? on + 1 : list.length;
}

// A press beside a point may become a drag of it; let go where it came down, it sets a point of its own.
function begin(at, near) {
  const before = kept(), hit = nearest(at, near);
  if (!hit) return add(at, near, before);
  const [name, number] = hit, list = typeof name === "string" ? rings[name] : rings.defects[name].ring;
  press = { before, name, at: number, from: list[number], down: at, made: false, moved: false };
}

function add(at, near, before) {
  press = null;
  if (chosen === "corners" && ring().length >= most()) return tell("All are set: drag one to correct it, or choose what to tap next.");
  const number = chosen === "corners" ? ring().length : place(ring(), at, near / 2);
  ring().splice(number, 0, at);
  press = { before, at: number, from: at, down: at, made: true };
}

function move(at) {
  if (!press.made && !press.moved) {
    if (away(at, press.down) * scale() < STILL) return;
    press.moved = true;
    chosen = press.name;
  }
  const [x, y] = press.from, [a, b] = press.down;
  ring()[press.at] = [within(x + at[0] - a, wide), within(y + at[1] - b, high)];
}

const under = () => (press.made || press.moved ? ring()[press.at] : press.down);

function end() {
  look(null);
  if (!press.made && !press.moved && away(press.down, press.from) * scale() > STILL) add(press.down, 0, press.before);
  if (!press) return;
  const { made, moved, before, name: held, at } = press;
  press = null;
  if (!made && !moved) {
    chosen = held;
    return tell(`Point ${at + 1}: drag it to correct it.`);
  }
  past.push(before);
  write();
  const name = kind() === "corners" ? (marks() ? "Mark" : "Corner") : "Point";
  if (made && chosen === "corners" && ring().length === most()) chosen = "outline";
  tell(`${name} ${at + 1} ${made ? "is set" : "is moved"}.`);
}

function drop() {
  if (press) back(press.before);
  press = null;
  look(null);
}

function zoom(by, [x, y] = [view.x + view.w / 2, view.y + view.h / 2]) {
  const w = Math.min(Math.max(view.w / by, wide / MOST), wide), part = w / view.w;
  view = { w, h: (w / wide) * high, x: x - (x - view.x) * part, y: y - (y - view.y) * part };
  shift(0, 0);
}

function shift(x, y) {
  view.x = within(view.x + x, wide - view.w);
  view.y = within(view.y + y, high - view.h);
}

const spread = ([one, two]) => ({ far: Math.hypot(one.clientX - two.clientX, one.clientY - two.clientY) || 1, clientX: (one.clientX + two.clientX) / 2, clientY: (one.clientY + two.clientY) / 2 });

stage.addEventListener("pointerdown", (event) => {
  if (event.button || fingers.size > 1) return;
  event.preventDefault();
  stage.focus({ preventScroll: true });
  stage.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, event);
  cross = null;
  if (fingers.size === 2) { drop(); pinch = spread([...fingers.values()]); }
  else if (!panning) { begin(seen(event), NEAR[event.pointerType] / scale()); if (press) look(under()); }
  draw();
});

stage.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  fingers.set(event.pointerId, event);
  if (pinch) {
    const now = spread([...fingers.values()]);
    shift((pinch.clientX - now.clientX) / scale(), (pinch.clientY - now.clientY) / scale());
    zoom(now.far / pinch.far, seen(now));
    pinch = now;
  } else if (panning) shift((before.clientX - event.clientX) / scale(), (before.clientY - event.clientY) / scale());
  else if (press) { move(seen(event)); look(under()); }
  else return;
  draw();
});

for (const name of ["pointerup", "pointercancel"]) stage.addEventListener(name, (event) => {
  if (!fingers.delete(event.pointerId)) return;
  if (press) (name === "pointerup" ? end : drop)();
  if (pinch) { pinch = null; fingers.clear(); } // the other finger sets nothing as it is lifted
  draw();
});

stage.addEventListener("wheel", (event) => {
  if (!event.ctrlKey && view.w === wide) return;
  event.preventDefault();
  if (event.ctrlKey) zoom(Math.exp(-event.deltaY / 300), seen(event));
  else shift(event.deltaX / scale(), event.deltaY / scale());
  draw();
}, { passive: false });

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

stage.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const way = ARROWS[event.key];
  cross ??= [Math.round(view.x + view.w / 2), Math.round(view.y + view.h / 2)];
  if (way) {
    run = event.repeat ? Math.min(run + 1, 40) : 0; // a held key goes faster
    const step = (event.shiftKey ? 10 : 1) * (1 + (run >> 3));
    cross = [within(cross[0] + way[0] * step, wide), within(cross[1] + way[1] * step, high)];
    shift(Math.min(cross[0] - view.x, 0) + Math.max(cross[0] - view.x - view.w, 0), Math.min(cross[1] - view.y, 0) + Math.max(cross[1] - view.y - view.h, 0));
  } else if (event.key === "Enter" || event.key === " ") { begin([...cross], 0); if (press) end(); }
  else if (event.key === "Backspace" || event.key === "Delete") undo();
  else if (event.key === "+" || event.key === "=") zoom(1.5, cross);
  else if (event.key === "-") zoom(1 / 1.5, cross);
  else return;
  event.preventDefault();
  draw();
  look(cross);
});

stage.addEventListener("keyup", (event) => { if (ARROWS[event.key] && cross) tell(`Cross-hair at ${cross.map(Math.round).join(", ")}.`); });
stage.addEventListener("blur", () => { cross = null; look(null); draw(); });

function undo() {
  if (!past.length) return tell("There is nothing to undo.");
  back(past.pop());
  write();
  tell("Undone.");
}

function clear() {
  if (!ring().length) return tell("Nothing is tapped of this yet.");
  past.push(kept());
  if (typeof chosen === "number") { rings.defects.splice(chosen, 1); chosen = "outline"; }
  else rings[chosen] = [];
  write();
  tell("Cleared; Undo brings it back.");
}

const tools = {
  undo, clear,
  in: () => zoom(1.6),
  out: () => zoom(1 / 1.6),
  whole: () => zoom(1 / MOST),
  pan: (one) => { panning = !panning; one.setAttribute("aria-pressed", String(panning)); stage.classList.toggle("pan", panning); },
};

form.querySelector("[data-tools]").addEventListener("click", (event) => {
  const one = event.target.closest("button");
  if (!one) return;
  const name = one.dataset.ring;
  if (name in boxes) chosen = name;
  else if (name) {
    rings.defects = rings.defects.filter((each) => each.ring.length);
    chosen = rings.defects.push({ kind: name, ring: [] }) - 1;
  } else tools[one.dataset.do](one);
  if (name) tell();
  draw();
});

form.addEventListener("change", (event) => { if (event.target.name === "way") { tell(); draw(); } });
for (const box of Object.values(boxes)) box.addEventListener("input", () => { past.push(kept()); read(); draw(); });

const numbers = form.querySelector(".numbers");
numbers.open = "wrong" in numbers.dataset;
form.querySelector("[data-tools]").hidden = false;
for (const [name, value] of [["role", "application"], ["tabindex", "0"], ["aria-label", stage.dataset.label]]) stage.setAttribute(name, value);
read();
if (rings.corners.length >= most()) chosen = "outline";
tell();
draw();
