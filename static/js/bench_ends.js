// Turns from one wire end to the next without the network: the page holds them all, the one in
// view inside #bench-part, the others in <template data-end>. bench.js sees only the one in view.
//   arrows left and right turn; arrows up and down move among the steps.
const bench = document.querySelector("[data-bench]");
const kept = new Map();
for (const template of document.querySelectorAll("template[data-end]")) {
  kept.set(template.dataset.end, () => template.content.querySelector("#bench-part").cloneNode(true));
}
const inView = () => document.getElementById("bench-part");
let wanted = inView()?.dataset.key;

function keep(part) {
  kept.set(part.dataset.key, () => part);
}

// Both ends show the steps of the whole wire: what was ticked at one stands at the other.
function carryOver(before, part) {
  for (const from of before.querySelectorAll("[data-step]")) {
    const to = part.querySelector(`[data-step="${CSS.escape(from.dataset.step)}"]`);
    if (!to) continue;
    to.dataset.state = from.dataset.state;
    if (from.dataset.at) to.dataset.at = from.dataset.at;
    else delete to.dataset.at;
    to.querySelector("[data-when]").textContent = from.querySelector("[data-when]").textContent;
  }
}

function show(key) {
  const make = kept.get(key);
  if (!make) return false;
  const before = inView();
  keep(before);
  const part = make();
  carryOver(before, part);
  before.replaceWith(part);
  wanted = key;
  const address = new URL(bench.dataset.refresh, location.href);
  address.searchParams.set("at", key);
  bench.dataset.refresh = address.pathname + address.search;
  history.replaceState(null, "", bench.dataset.refresh);
  const title = part.querySelector("h1").textContent.replace(/\s+/g, " ").trim();
  document.title = document.title.replace(/^[^–]*–/, `${title} –`);
  const next = document.querySelector(".who [name=next]");
  if (next) next.value = bench.dataset.refresh;
  // bench.js lays the ticks that are kept here over what it finds.
  document.dispatchEvent(new Event("htmx:after:swap"));
  window.scrollTo(0, 0);
  return true;
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-turn]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (show(link.dataset.turn)) event.preventDefault();
});

// A server's view of an end that has been left meanwhile is kept for when it comes back.
document.addEventListener("htmx:after:swap", () => {
  const part = inView();
  if (part && part.dataset.key !== wanted && kept.has(wanted)) show(wanted);
});

document.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey || document.querySelector("dialog[open]")) return;
  if (event.target.closest("input, select, textarea")) return;
  const turn = { ArrowRight: "a[data-turn][data-on]", ArrowLeft: "a[data-turn][data-back]" }[event.key];
  if (turn) {
    document.querySelector(turn)?.click();
    return;
  }
  const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!by) return;
  const buttons = [...inView().querySelectorAll("[data-step]")];
  const at = buttons.indexOf(document.activeElement);
  const first = buttons.findIndex((one) => one.dataset.state === "todo");
  const to = at < 0 ? Math.max(first, 0) : Math.min(Math.max(at + by, 0), buttons.length - 1);
  buttons[to]?.focus();
  event.preventDefault();
});
