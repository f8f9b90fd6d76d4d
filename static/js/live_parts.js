// Takes parts of a page in as they are now: elements with data-live-part and a name of their own,
// morphed in place by htmx. What is typed, the focus, where it is scrolled to, and what is open stay
// as they are here. A part whose answer has no place any more for what is being typed stays too.
//   <span data-ago="95">1 min ago</span>   how many seconds ago something was; it goes on counting
const PARTS = "main [data-live-part], main .heading, #design-state, main datalist[id]";
const CONTROLS = "input:not([type=hidden]), select, textarea";
const KEY = /(^|-)(once|key)$/; // hidden fields by which a second sending is known
const AGO_EVERY_MS = 10_000;

// This page as it is filtered now.
function address() {
  const here = new URL(location.href);
  const find = document.getElementById("find");
  if (find?.name) here.searchParams.set(find.name, find.value);
  here.hash = "";
  return here;
}

/** The page as the server has it now, or null where it is no more. */
export async function lookAnew() {
  const answer = await fetch(address(), { headers: { "Live-Look": "1" }, signal: AbortSignal.timeout(20_000) });
  if (answer.status === 404) return null;
  if (!answer.ok) throw new Error(String(answer.status));
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

function partner(part, anew) {
  const key = part.dataset.livePart;
  if (key) return anew.querySelector(`[data-live-part="${CSS.escape(key)}"]`);
  return part.id ? anew.getElementById(part.id) : anew.querySelector("main .heading");
}

const isTyped = (control) => {
  if (control.type === "checkbox" || control.type === "radio") return control.checked !== control.defaultChecked;
  if (!(control instanceof HTMLSelectElement)) return control.value !== control.defaultValue;
  return [...control.options].some((option) => option.selected !== option.defaultSelected) && control.selectedIndex > 0;
};

const inUse = (control) => control === document.activeElement || isTyped(control);

// Every control that somebody is in, or has typed into, has its own place in what comes.
function keepsWhatIsTyped(part, now) {
  return [...part.querySelectorAll(CONTROLS)]
    .filter(inUse)
    .every((control) => control.id && now.querySelector(`#${CSS.escape(control.id)}`)?.name === control.name);
}

// A form that is sent again keeps its keys, so that it is known.
function keepKeys(part, now) {
  for (const key of now.querySelectorAll("input[type=hidden]")) {
    const held = KEY.test(key.name) ? part.querySelectorAll(`input[name="${CSS.escape(key.name)}"]`) : [];
    if (held.length === 1) key.setAttribute("value", held[0].value);
  }
}

// What a person has opened, or typed, is not taken back.
function staysAsItIs(element, name) {
  if (name === "open") return element.matches("details, dialog");
  return ["value", "checked"].includes(name) && element.matches("input") && inUse(element);
}

let takingIn = null; // the part that is being morphed

// False keeps an attribute as it is.
window.htmx?.registerExtension("live-parts", {
  htmx_before_morph_attr: (element, { attrName }) => !takingIn?.contains(element) || !staysAsItIs(element, attrName),
});

// A row that moves takes the focus out of what stands in it.
function keepFocus() {
  const held = document.activeElement;
  const { selectionStart: start, selectionEnd: end, id } = held ?? {};
  return () => {
    const now = held?.isConnected ? held : id && document.getElementById(id);
    if (!now || now === document.activeElement || now === document.body) return;
    now.focus({ preventScroll: true });
    if (Number.isInteger(start)) now.setSelectionRange(start, end);
  };
}

async function morph(part, now) {
  takingIn = part;
  keepKeys(part, now);
  const focusAgain = part.contains(document.activeElement) ? keepFocus() : () => {};
  try {
    await window.htmx.swap({ sourceElement: part, target: part, text: now.outerHTML, swap: "outerMorph" });
  } finally {
    takingIn = null;
    focusAgain();
  }
}

/** What the page knows of who works on what, if it shows that: a parameter of what is asked. */
export function working() {
  const known = document.querySelector("main [data-at-work]")?.dataset.atWork;
  return known ? { working: known } : {};
}

/** Takes in what differs; `only` is the name of the one part that is wanted. */
export async function takeInParts(anew, only = "") {
  const chosen = only ? `main [data-live-part="${only}"]` : PARTS;
  for (const part of document.querySelectorAll(chosen)) {
    const now = part.isConnected && partner(part, anew);
    if (now && now.outerHTML !== part.outerHTML && keepsWhatIsTyped(part, now)) await morph(part, now);
  }
  sayAgo();
}

// --- how long ago ---

const shown = new WeakMap(); // when an element began to say what it says

function words(s) {
  const minutes = Math.floor(s / 60);
  if (minutes < 1) return "just now";
  return minutes < 60 ? `${minutes} min ago` : `${Math.floor(minutes / 60)} h ago`;
}

// From the seconds that the server said, as a device's own clock may be wrong.
function sayAgo() {
  for (const each of document.querySelectorAll("[data-ago]")) {
    const { ago } = each.dataset;
    if (shown.get(each)?.ago !== ago) shown.set(each, { ago, at: performance.now() });
    const said = words(Number(ago) + (performance.now() - shown.get(each).at) / 1000);
    if (each.textContent !== said) each.textContent = said;
  }
}

sayAgo();
setInterval(sayAgo, AGO_EVERY_MS);
