// Entries made while the signal is gone: kept on the device, shown as waiting, sent once each and in order when it is back.
//
// Owns forms marked `data-keep`. Every entry is written down here first, then sent; it leaves only when the server says that
// it is written. The server's request key is what makes a second sending harmless; the lock below only saves the work.
// Must not decide what is true: a refusal is shown with the server's words, and both stand until the maker chooses.
//
// On a form: data-words (what the entry is called), data-words-of (names of fields whose values are added to it), data-page
// (the page that shows what the books have), data-then (a <template> shown after it was kept; its [data-from=key|at|words]
// take that from the entry). What stands in [data-once] leaves the page when its entry is kept. [data-moment] gets the moment
// of the tap. A button with data-plain sends as without this file.
//
// What is asked for waits once: while an entry waits, the form that would make it again is disarmed until something else is
// typed into it, on this page and on the next.
//
// An entry that waited says so: its hand is gone, so the server keeps an odd figure and marks it instead of asking.

const SECOND = 1000;
const PATIENCE = 20 * SECOND; // for one sending; an answer lost after that is asked for again under the same key
const AT_ONCE = 3 * SECOND; // so long a tap waits for its answer; then the hand is free for the next
const AGAIN = 30 * SECOND;
const SETTLE = SECOND / 2; // what another tab has just written shows here a little later than its lock opens

const person = document.body.dataset.person;
const PREFIX = "tawery-kept:";
const STORE = person ? PREFIX + person : null;
const part = (id) => document.getElementById(id);

const passed = new WeakSet(); // forms that now go the plain way, to meet their errors on a page
const sending = new WeakSet();
const outcomes = new Map(); // what the server last said of an entry
const news = new Set(); // entries written since this page was loaded, which the page does not show yet
let typed = Boolean(document.querySelector(".summary"));
let leaving = false;
let turn = Promise.resolve();

// the store: one list a person, read anew each time, because other tabs write it too

function kept() {
  if (!person) return [];
  try {
    return JSON.parse(localStorage.getItem(STORE)) ?? [];
  } catch {
    return [];
  }
}

function keep(entries) {
  if (entries.length) localStorage.setItem(STORE, JSON.stringify(entries));
  else localStorage.removeItem(STORE);
}

function change(key, what) {
  keep(kept().map((entry) => (entry.key === key ? { ...entry, ...what } : entry)));
}

function drop(key) {
  keep(kept().filter((entry) => entry.key !== key));
}

function othersWait() {
  let count = 0;
  try {
    for (const name of Object.keys(localStorage))
      if (name.startsWith(PREFIX) && name !== STORE) count += JSON.parse(localStorage.getItem(name)).length;
  } catch {
    return count;
  }
  return count;
}

function freshKey() {
  // Not randomUUID: on a plain address of the house's own network the browser does not offer it.
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

// sending

function token() {
  return JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
}

async function post(action, body, waited = false) {
  try {
    const answer = await fetch(action, {
      method: "POST",
      headers: { "X-Kept": waited ? "waited" : "1", "X-CSRFToken": token(), "X-Clock": new Date().toISOString() },
      body,
      redirect: "manual",
      signal: AbortSignal.timeout?.(PATIENCE),
    });
    return await meaning(answer);
  } catch {
    return { state: "waiting", why: "" };
  }
}

async function meaning(answer) {
  if ((answer.headers.get("Content-Type") ?? "").startsWith("application/json")) {
    const said = await answer.json();
    if (["written", "refused", "waiting"].includes(said.state)) return said;
  }
  if (answer.status === 401 || answer.type === "opaqueredirect") return { state: "waiting", why: "Sign in, then it is sent." };
  if (answer.status === 403) return { state: "waiting", why: "This page is older than your last sign-in. Load it again, then it is sent." };
  if (answer.status === 500) return refusal("The program made a fault, so this is not in the books. Send it again; if the fault comes back, write the entry down and note the time.");
  if (answer.status >= 400 && answer.status < 500 && ![408, 425, 429].includes(answer.status))
    return refusal(`The books do not know this page any more (${answer.status}). Look what they have, and enter it anew if it is missing.`);
  return { state: "waiting", why: `The books could not be reached (${answer.status}).` };
}

function refusal(words) {
  return { state: "refused", errors: [words] };
}

async function sendAll() {
  for (;;) {
    const entry = kept().find((each) => each.state === "waiting");
    if (!entry) return;
    const answer = await post(entry.action, new URLSearchParams(entry.fields), entry.tried);
    outcomes.set(entry.key, answer);
    if (answer.state === "written") {
      drop(entry.key);
      news.add(entry.key);
    } else if (answer.state === "refused") change(entry.key, { state: "refused", errors: answer.errors });
    else {
      change(entry.key, { why: answer.why, tried: true });
      return; // what comes after it waits too, or the order would be lost
    }
  }
}

async function inTurn(work) {
  // Browsers lock only on https and localhost, and a tab put to sleep may hold the lock for ever: then two tabs may both send,
  // and the request key makes it one entry.
  if (!navigator.locks) return work();
  const free = await navigator.locks.request(STORE, { ifAvailable: true }, (lock) => (lock ? work().then(() => true) : false));
  if (free) return undefined;
  let mine = false;
  const after = async () => {
    mine = true;
    await pause(SETTLE);
    return work();
  };
  return navigator.locks.request(STORE, { signal: AbortSignal.timeout?.(PATIENCE) }, after).catch((fault) => {
    if (mine) throw fault;
    return work();
  });
}

function flush() {
  turn = turn.then(() => inTurn(sendAll)).catch(() => {});
  return turn;
}

async function flushAndTell() {
  if (kept().some((entry) => entry.state === "waiting")) await flush();
  tell();
}

function tell() {
  show();
  if (!news.size || leaving) return;
  const count = news.size;
  news.clear();
  // The page shows what was due before. It is read anew, but never while something is being typed.
  if (typed) say(count === 1 ? "One entry that waited is written now." : `${count} entries that waited are written now.`);
  else go(location.pathname + location.search);
}

// a tap

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-keep]") || passed.has(form) || !person) return;
  if (event.submitter?.matches("[data-plain], [name=more], [formaction]")) return;
  event.preventDefault();
  if (form.dataset.waits) say(`${form.dataset.words || "This"} waits already. A second tap writes nothing.`);
  else if (!sending.has(form)) take(form, event.submitter);
});

async function take(form, sender) {
  sending.add(form);
  busy(sender, true);
  form.querySelector(".kept-note")?.remove();
  const at = new Date().toISOString();
  for (const field of form.querySelectorAll("[data-moment]")) field.value = at;
  const data = new FormData(form);
  if (sender?.name) data.append(sender.name, sender.value);
  data.delete("csrfmiddlewaretoken");
  const action = new URL(form.getAttribute("action") || location.href, location.href);
  const there = action.pathname + action.search;
  const photo = [...data.values()].some((value) => value instanceof File && value.size);
  const entry = { key: data.get("request_key"), action: there, words: words(form, data), page: form.dataset.page || location.pathname, at, state: "waiting" };
  try {
    entry.fields = [...data].filter(([, value]) => !(value instanceof File));
    entry.sign = sign(there, entry.fields);
    if (!photo) keep([...kept(), entry]);
    await (photo ? straight(form, sender, there, data, "nofile") : throughStore(form, sender, entry));
  } catch {
    await straight(form, sender, there, data, "nostore");
  }
  if (leaving) return;
  sending.delete(form);
  if (form.dataset.waits) sender?.removeAttribute("aria-busy");
  else busy(sender, false);
}

async function throughStore(form, sender, entry) {
  const answered = flush().then(() => outcomes.get(entry.key) ?? gone(entry.key));
  const answer = await Promise.race([answered, pause(AT_ONCE)]);
  if (answer?.state === "written") return go(answer.next);
  if (answer?.state === "refused") {
    drop(entry.key);
    return plainly(form, sender);
  }
  change(entry.key, { tried: true });
  release(form, entry);
  answered.then(tell);
}

function gone(key) {
  // Another tab was quicker and sent it.
  return kept().some((entry) => entry.key === key) ? undefined : { state: "written", next: location.pathname + location.search };
}

async function straight(form, sender, action, data, note) {
  const answer = await post(action, data);
  if (answer.state === "written") return go(answer.next);
  if (answer.state === "refused") return plainly(form, sender);
  const told = part(`kept-${note}`).content.cloneNode(true);
  if (answer.why) told.querySelector("[data-why]").textContent = answer.why;
  form.append(told);
}

function go(next) {
  leaving = true;
  location.assign(next);
}

function plainly(form, sender) {
  leaving = true;
  passed.add(form);
  busy(sender, false);
  form.requestSubmit(sender ?? undefined);
}

function release(form, entry) {
  const follow = part(form.dataset.then ?? "");
  form.reset();
  for (const field of form.querySelectorAll("[data-moment]")) field.value = "";
  for (const field of form.querySelectorAll("[name=request_key]")) field.value = freshKey();
  typed = false;
  disarm(form, entry);
  if (follow) form.after(filled(follow, entry));
  const once = form.closest("[data-once]");
  if (once) {
    once.remove(); // what can be done once is done: it waits now, and a second tap would only be refused
    part("main").focus({ preventScroll: true });
  }
  show();
  if (follow) form.nextElementSibling.scrollIntoView({ block: "nearest" });
  say(`${entry.words}: kept on this device until there is a signal.`);
}

// What an entry is, whichever request brings it: the same again is the same tap.
function sign(action, fields) {
  const apart = ["request_key", "csrfmiddlewaretoken", "at", "next", "sure"];
  return JSON.stringify([action, fields.filter(([name, value]) => !apart.includes(name) && typeof value === "string")]);
}

function disarm(form, entry) {
  form.dataset.waits = entry.key;
  for (const button of armed(form)) button.setAttribute("aria-disabled", "true");
  const note = part("kept-waits").content.cloneNode(true);
  note.querySelector("[data-when]").textContent = clock(entry.at);
  form.append(note);
}

function arm(form) {
  if (!form.dataset.waits) return;
  delete form.dataset.waits;
  form.querySelector(".kept-note")?.remove();
  for (const button of armed(form)) button.removeAttribute("aria-disabled");
}

function armed(form) {
  return form.querySelectorAll("button:not([data-plain], [name=more], [formaction], [hidden])");
}

function disarmAll() {
  const there = new Map(kept().filter((entry) => entry.state === "waiting").map((entry) => [entry.sign, entry]));
  for (const form of there.size ? document.querySelectorAll("form[data-keep]") : []) {
    const action = new URL(form.getAttribute("action") || location.href, location.href);
    const entry = there.get(sign(action.pathname + action.search, [...new FormData(form)]));
    if (entry && !form.dataset.waits) disarm(form, entry);
  }
}

function filled(template, entry) {
  const copy = template.content.cloneNode(true);
  for (const place of copy.querySelectorAll("[data-from]")) {
    if ("value" in place) place.value = entry[place.dataset.from];
    else place.textContent = entry[place.dataset.from];
  }
  for (const clock of copy.querySelectorAll("[data-since='']")) clock.dataset.since = entry.at;
  for (const field of copy.querySelectorAll("[name=request_key]")) field.value = freshKey();
  return copy;
}

function words(form, data) {
  const more = (form.dataset.wordsOf ?? "").split(" ").filter(Boolean).flatMap((name) => data.getAll(name)).filter(Boolean);
  return [form.dataset.words || document.querySelector("h1").textContent.trim(), more.join(", ")].filter(Boolean).join(": ");
}

function busy(button, is) {
  if (!button) return;
  // Not `disabled`: the button would lose the focus, and the keyboard its place.
  for (const name of ["aria-busy", "aria-disabled"]) is ? button.setAttribute(name, "true") : button.removeAttribute(name);
}

function pause(time) {
  return new Promise((done) => setTimeout(done, time));
}

// what waits, shown

function say(text) {
  part("kept-told").textContent = text;
}

function clock(at) {
  const day = new Date(at);
  const time = day.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  return day.toDateString() === new Date().toDateString() ? time : `${day.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}, ${time}`;
}

function line(entry) {
  const copy = part("kept-entry").content.cloneNode(true);
  const put = (name, text) => { copy.querySelector(`[data-${name}]`).textContent = text; };
  put("words", entry.words);
  put("when", clock(entry.at));
  put("why", entry.state === "refused" ? entry.errors.join(" ") : (entry.why ?? ""));
  copy.querySelector("[data-books]").href = entry.page;
  for (const thing of copy.querySelectorAll("[data-when-refused]")) thing.hidden = entry.state !== "refused";
  for (const name of ["again", "drop"]) copy.querySelector(`[data-${name}]`).dataset.key = entry.key;
  return copy;
}

function show() {
  const all = kept();
  const waiting = all.filter((entry) => entry.state === "waiting" && entry.tried);
  const refused = all.filter((entry) => entry.state === "refused");
  part("kept").hidden = !waiting.length;
  part("not-taken").hidden = !refused.length;
  part("kept-count").textContent = waiting.length;
  if (waiting.length) part("kept-last").textContent = waiting.at(-1).why || `${waiting.at(-1).words}, ${clock(waiting.at(-1).at)}`;
  part("kept-list").replaceChildren(...waiting.map(line));
  part("not-taken-list").replaceChildren(...refused.map(line));
  const others = othersWait();
  part("kept-others").hidden = !others;
  part("kept-others-count").textContent = others;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-send], [data-again], [data-drop]");
  if (!button) return;
  if (button.matches("[data-drop]") && !confirm(asked("kept-drop"))) return;
  if (button.matches("[data-drop]")) drop(button.dataset.key);
  if (button.matches("[data-again]")) change(button.dataset.key, { state: "waiting", errors: [], tried: true });
  flushAndTell();
});

function asked(id) {
  return part(id).content.textContent.trim().replace(/\s+/g, " ");
}

// Entries stay with their person: whoever leaves is told that they wait here.
document.addEventListener("submit", (event) => {
  const count = event.target.matches("[data-leave]") ? kept().length : 0;
  if (count && !confirm(asked("kept-leave").replace("{count}", count))) event.preventDefault();
}, true);

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form?.getAttribute("method") !== "post") return;
  typed = true;
  arm(form);
});
window.addEventListener("online", flushAndTell);
window.addEventListener("storage", show);
document.addEventListener("visibilitychange", () => { if (!document.hidden) flushAndTell(); });
setInterval(() => { if (!document.hidden) flushAndTell(); }, AGAIN);
window.addEventListener("pageshow", (event) => {
  // A page from the browser's memory shows what was due before: read it anew, unless something is being typed.
  if (event.persisted && !typed && document.querySelector("form[data-keep]")) location.reload();
});
disarmAll();
show();
flushAndTell();
