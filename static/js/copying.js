// An old loom copied wire by wire (templates/copying). Enter takes the wire: the line is sent and at
// once empty for the next, which begins at the same left fitting. Lines go to the server one after
// the other; one that is refused comes back into the form with what to mend, or waits below while
// another is being typed. Nothing that was typed is lost while the server is away.
import { freshKey } from "./once.js";

const LONGEST_MS = 20_000;
const AGAIN_MS = 3_000;
const WAY = /^([0-9]{1,3}[A-Za-z]{0,2}|[A-Za-z]{1,2}[0-9+−-]{1,2}|[A-Za-z]|[+−-])$/;
const queue = []; // { fields, words }: sent, or to be sent
const aside = []; // forms that were refused while another line was being typed
let sending = false;
let away = "";

const form = () => document.getElementById("copy");
const field = (name) => form().elements.namedItem(name);
const TYPED = ["colour", "right", "length_mm", "left_place", "right_place", "left_loose_mm", "left_tag",
  "right_loose_mm", "right_tag", "csa_mm2", "note"];

const isLoose = (words) => /^(left )?loose( at .+)?$/i.test(words.trim().replace(/\s+/g, " "));

// headlamp switch 3 → "headlamp switch ", for the next way to be typed after it.
function keptOf(words) {
  const text = words.trim();
  if (isLoose(text)) return "";
  const last = text.split(/\s+/).at(-1);
  return WAY.test(last) && last !== text ? text.slice(0, -last.length) : text;
}

function begin(left) {
  for (const name of TYPED) field(name).value = "";
  field("left").value = left;
  field("once").value = freshKey();
  for (const each of form().querySelectorAll(".error")) each.remove();
  for (const each of form().querySelectorAll(".wrong")) each.classList.remove("wrong");
  for (const each of form().querySelectorAll("[aria-invalid]")) each.removeAttribute("aria-invalid");
  form().dataset.begun = left;
  look();
  field("colour").focus();
}

const untouched = () =>
  TYPED.every((name) => !field(name).value) && field("left").value === (form().dataset.begun ?? "");

// --- sending ---

document.addEventListener("submit", (event) => {
  if (event.target.id !== "copy") return;
  event.preventDefault();
  const fields = new URLSearchParams(new FormData(event.target));
  const words = ["colour", "left", "right", "length_mm"].map((name) => fields.get(name)).filter(Boolean);
  queue.push({ fields, words: words.join(" · ") });
  begin(keptOf(fields.get("left")));
  send();
});

async function send() {
  if (sending || !queue.length) return;
  sending = true;
  away = "";
  document.dispatchEvent(new Event("live:writing"));
  try {
    const answer = await fetch(form().action, {
      method: "POST",
      body: queue[0].fields,
      headers: { "HX-Request-Type": "partial" },
      signal: AbortSignal.timeout(LONGEST_MS),
    });
    const found = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (answer.ok) {
      queue.shift();
      for (const part of found.body.querySelectorAll(":scope > [id]")) take(part);
    } else if (answer.status === 422 && found.getElementById("copy")) {
      queue.shift();
      comeBack(document.adoptNode(found.getElementById("copy")));
    } else {
      away = found.body.textContent.trim() || `Not saved (${answer.status}).`;
    }
  } catch {
    away = "Not saved yet: Loomwright cannot be reached. What you have typed waits here.";
  }
  document.dispatchEvent(new Event("live:written"));
  sending = false;
  tell();
  if (away) setTimeout(send, AGAIN_MS);
  else send();
}

function take(part) {
  const there = document.getElementById(part.id);
  // Where something is being typed the next answer brings it up to date.
  if (!there || (there.contains(document.activeElement) && document.activeElement.matches("input"))) return;
  there.replaceWith(document.adoptNode(part));
}

// --- refused ---

function comeBack(refused) {
  if (!untouched()) {
    aside.push(refused);
    return;
  }
  show(refused);
}

function show(refused) {
  form().replaceWith(refused);
  look();
  refused.querySelector("[aria-invalid]")?.focus();
}

function putRight(refused) {
  aside.splice(aside.indexOf(refused), 1);
  if (!untouched()) aside.push(form());
  show(refused);
  tell();
}

function tell() {
  const box = document.getElementById("copy-waiting");
  box.replaceChildren();
  if (away) {
    const line = document.createElement("p");
    line.textContent = `${away} (${queue.length} to be sent; it is tried again by itself.)`;
    box.append(line);
  }
  if (!aside.length) return;
  const list = document.createElement("ul");
  for (const refused of aside) {
    const item = document.createElement("li");
    const why = refused.querySelector(".error")?.textContent ?? "begun, not yet taken";
    const name = ["colour", "left", "right"].map((each) => refused.elements.namedItem(each).value);
    item.append(`Not taken: ${name.filter(Boolean).join(" · ")}. ${why}`);
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Put it right" });
    button.addEventListener("click", () => putRight(refused));
    item.append(button);
    list.append(item);
  }
  box.append(list);
}

window.addEventListener("beforeunload", (event) => {
  if (queue.length || aside.length || !untouched()) event.preventDefault();
});

// --- colours ---

const swatches = () => [...form().querySelectorAll(".swatch")];
const named = (words) =>
  swatches().find((each) => [each.dataset.letters, each.dataset.colour].some(
    (name) => name.toLowerCase() === words.trim().toLowerCase(),
  ));

// The swatches of what was typed, as the server reads it: NR, N/R, brown with red.
function chosen(words) {
  const text = words.trim();
  if (!text) return [];
  if (named(text)) return [named(text)];
  const [first, second] = text.split(/\s*[/,]\s*|\s+with\s+(?:an?\s+)?/i);
  if (second) return [named(first), named(second)];
  for (let at = 1; at < text.length; at += 1) {
    const pair = [named(text.slice(0, at)), named(text.slice(at))];
    if (pair[0] && pair[1]) return pair;
  }
  return [];
}

function look() {
  const [main, tracer] = chosen(field("colour").value);
  for (const each of swatches()) {
    each.classList.toggle("main", each === main);
    each.classList.toggle("tracer", each === tracer);
  }
  form().querySelector(".preview rect").setAttribute("fill", main?.dataset.rgb ?? "none");
  form().querySelector(".preview line").setAttribute("stroke", tracer?.dataset.rgb ?? "none");
  for (const end of form().querySelectorAll(".copy-end")) {
    const side = end.querySelector("[data-end]").dataset.end;
    end.querySelector(".loose-only").classList.toggle("open", isLoose(field(side).value));
  }
}

document.addEventListener("input", (event) => {
  if (event.target.form?.id === "copy") look();
});

document.addEventListener("click", (event) => {
  const swatch = event.target.closest?.("#copy .swatch");
  const chip = event.target.closest?.("#copy [data-end]");
  if (swatch) {
    const [main, tracer] = chosen(field("colour").value);
    const letters = swatch.dataset.letters;
    const second = main && !tracer && main !== swatch;
    field("colour").value = second ? `${main.dataset.letters}/${letters}` : letters;
    look();
  } else if (chip) {
    field(chip.dataset.end).value = chip.dataset.words;
    look();
    field(isLoose(chip.dataset.words) ? `${chip.dataset.end}_place` : chip.dataset.end).focus();
  }
});

// What is kept of the last wire is typed on, not over.
document.addEventListener("focusin", (event) => {
  const { target } = event;
  if (target.form?.id === "copy" && target.value?.endsWith(" ")) {
    target.setSelectionRange(target.value.length, target.value.length);
  }
});

if (form()) {
  form().dataset.begun = field("left").value;
  look();
  if (!document.querySelector("[aria-invalid]")) field("colour").focus();
}
