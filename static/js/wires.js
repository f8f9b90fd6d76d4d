// The wire table: rows are ticked and done with together (templates/wires/_chosen.html).
//   Shift+↑ ↓      ticks this row and the next        Ctrl+Space   ticks this row, or no longer
//   Ctrl+click     the same with the mouse; Shift+click ticks as far as there
//   Ctrl+↑         takes the value that stands above
//   Ctrl+Enter     gives what stands in this cell to every ticked row
//   Insert         a wire after this one              Esc, twice   ticks nothing any more
import { cellAbove, moveDown } from "./cell_moves.js";
import { keep } from "./cell.js";

const ticked = new Set(); // uids of links: rows that an answer replaces stay ticked
let anchor = null; // the row where a stretch began
let refocus = null; // the cell that had the focus when several rows were sent

const bar = () => document.getElementById("chosen");
const table = () => document.querySelector("table.wires");
const rowOf = (element) => element?.closest?.("table.wires tbody[id^=wire-]");
const uidOf = (row) => row.id.slice("wire-".length);
const rows = () => [...table().querySelectorAll(":scope > tbody[id^=wire-]")].filter((row) => !row.hidden);
const tickOf = (row) => row.querySelector("[data-pick]");

function tick(row, on) {
  on ? ticked.add(uidOf(row)) : ticked.delete(uidOf(row));
  const box = tickOf(row);
  if (box) box.checked = on;
}

const isTicked = (row) => ticked.has(uidOf(row));

function show() {
  const form = bar();
  if (!form) return;
  const here = new Set([...document.querySelectorAll("tbody[id^=wire-]")].map(uidOf));
  const shown = [...ticked].filter((uid) => here.has(uid)).length;
  const hidden = ticked.size - shown;
  const words = ticked.size === 1 ? "1 wire chosen" : `${ticked.size} wires chosen`;
  form.querySelector("[data-chosen-count]").textContent = hidden ? `${words}, ${hidden} not shown` : words;
  form.hidden = ticked.size === 0;
  const all = document.querySelector("[data-pick-all]");
  if (all) {
    all.checked = shown > 0 && shown === rows().length;
    all.indeterminate = shown > 0 && !all.checked;
  }
  const circuit = document.querySelector("[data-with-chosen-words]");
  if (circuit) {
    circuit.textContent = ticked.size
      ? `The ${words} go into it.`
      : "It begins empty; tick wires first to put them into it.";
  }
}

// After the table, or rows of it, were put in place of others.
function again() {
  if (!table()) return show();
  for (const row of rows()) {
    const box = tickOf(row);
    if (box && box.checked !== isTicked(row)) box.checked = isTicked(row);
  }
  show();
}

function stretch(from, to, on = true) {
  const all = rows();
  const [a, b] = [all.indexOf(from), all.indexOf(to)].sort((x, y) => x - y);
  if (a < 0) return tick(to, on);
  for (const row of all.slice(a, b + 1)) tick(row, on);
}

function none() {
  for (const uid of [...ticked]) {
    ticked.delete(uid);
    const row = document.getElementById(`wire-${uid}`);
    if (row) tick(row, false);
  }
  anchor = null;
  bar()?.querySelector("#chosen-said")?.replaceChildren();
  show();
}

// --- sending several rows ---

const hidden = (name, value) => Object.assign(document.createElement("input"), { type: "hidden", name, value });

function extras(form, pairs) {
  for (const old of form.querySelectorAll("[data-extra]")) old.remove();
  for (const [name, value] of pairs) {
    const field = hidden(name, value);
    field.dataset.extra = "";
    form.append(field);
  }
}

// What each row showed, so that the server can tell whether somebody has changed it meanwhile. A
// link that the filter hides is sent as well; one whose wires have a length each, wire by wire.
function chosenPairs(field, byWire) {
  const pairs = [];
  for (const uid of ticked) {
    const row = document.getElementById(`wire-${uid}`);
    const shown = row ? [...row.querySelectorAll(`[data-cell="${field}"]`)] : [];
    const each = byWire && field === "length_mm" && shown.length > 1;
    for (const cell of each ? shown : shown.slice(0, 1)) {
      const segment = new URL(cell.form.action).searchParams.get("segment");
      const name = each ? `${uid}.${segment}` : uid;
      if (each) pairs.push(["rows", name]);
      pairs.push([`seen-${name}`, cell.dataset.seen]);
    }
    if (!each && (!row || byWire)) pairs.push(["rows", uid]);
  }
  return pairs;
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (form.id === "chosen" && !form.dataset.filling) {
      extras(form, chosenPairs(form.elements.namedItem("field").value, false));
    } else if (form.hasAttribute("data-with-chosen")) {
      extras(form, [...ticked].map((uid) => ["rows", uid]));
    }
  },
  true,
);

// The value of one cell for all ticked rows. The ticks themselves are left out: their rows are
// named here, wire by wire where each has a value of its own.
function fill(cell) {
  const form = bar();
  const field = form.elements.namedItem("field");
  if (![...field.options].some((option) => option.value === cell.dataset.cell)) return;
  tick(rowOf(cell), true);
  field.value = cell.dataset.cell;
  form.elements.namedItem("value").value = cell.value;
  suggest();
  form.dataset.filling = "1";
  extras(form, chosenPairs(cell.dataset.cell, true));
  const boxes = [...document.querySelectorAll("[data-pick]:checked")];
  for (const box of boxes) box.disabled = true;
  refocus = cell.id;
  form.requestSubmit();
  for (const box of boxes) box.disabled = false;
  delete form.dataset.filling;
  show();
}

function suggest() {
  const form = bar();
  const value = form.elements.namedItem("value");
  const lists = Object.fromEntries(value.dataset.listOf.split(" ").map((pair) => pair.split(":")));
  const list = lists[form.elements.namedItem("field").value];
  list ? value.setAttribute("list", list) : value.removeAttribute("list");
}

document.addEventListener("htmx:finally:request", (event) => {
  const source = event.detail.ctx.sourceElement;
  if (source?.id === "chosen" && refocus) {
    document.getElementById(refocus)?.focus();
    refocus = null;
  }
  if (source?.matches?.("form.cell, #chosen") && event.detail.ctx.response?.raw?.ok !== false) followLater();
  again();
});

// What is found about runs takes longer to work out than an edit: it follows in a pause.
const PAUSE_MS = 1200;
let following = 0;

function followLater() {
  const place = document.getElementById("others");
  if (!place) return;
  clearTimeout(following);
  following = setTimeout(() => {
    if (document.querySelector(".cell.sending") || place.contains(document.activeElement)) followLater();
    else window.htmx.trigger(place, "others");
  }, PAUSE_MS);
}
document.addEventListener("live:taken", again);

// --- keys ---

function onKey(event, cell, row) {
  const command = event.ctrlKey || event.metaKey;
  if (event.altKey || event.isComposing) return false;
  if (event.shiftKey && !command && /^Arrow(Up|Down)$/.test(event.key)) {
    anchor ??= row;
    const all = rows();
    const to = all[all.indexOf(row) + (event.key === "ArrowDown" ? 1 : -1)];
    tick(row, true);
    if (to) {
      // Going back gives up the row that is left.
      if (isTicked(to) && row !== anchor) tick(row, false);
      tick(to, true);
      to.querySelector(`[data-cell="${cell.dataset.cell}"]`)?.focus();
    }
    show();
    return true;
  }
  if (!command) anchor = event.key === "Shift" ? anchor : null;
  if (event.key === " " && event.ctrlKey) {
    tick(row, !isTicked(row));
    show();
    return true;
  }
  if (command && !event.shiftKey && event.key === "ArrowUp") {
    const above = cellAbove(cell);
    if (!above) return true;
    cell.value = above.value;
    keep(cell);
    cell.select?.();
    return true;
  }
  if (command && event.key === "Enter") {
    if (ticked.size) fill(cell);
    else {
      keep(cell);
      moveDown(cell, 1);
    }
    return true;
  }
  if (event.key === "Insert" && !command && !event.shiftKey) {
    location.href = `${location.pathname}/new?after=${encodeURIComponent(uidOf(row))}`;
    return true;
  }
  if (event.key === "Escape" && ticked.size && cell.value === cell.dataset.seen) none();
  return false;
}

document.addEventListener(
  "keydown",
  (event) => {
    const cell = event.target;
    const row = cell.matches?.("[data-cell]") ? rowOf(cell) : null;
    if (!row || !onKey(event, cell, row)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  },
  true,
);

// --- the mouse ---

document.addEventListener("mousedown", (event) => {
  const row = rowOf(event.target);
  if (!row || event.button !== 0 || event.target.matches("[data-pick], a, button, summary")) return;
  if (event.ctrlKey || event.metaKey) tick(row, !isTicked(row));
  else if (event.shiftKey) stretch(anchor ?? row, row);
  else return;
  if (!event.shiftKey) anchor = row;
  event.preventDefault();
  show();
});

document.addEventListener("click", (event) => {
  const box = event.target.closest?.("[data-pick]");
  if (box) {
    const row = rowOf(box);
    if (event.shiftKey && anchor) stretch(anchor, row, box.checked);
    else tick(row, box.checked);
    anchor = row;
    show();
  } else if (event.target.closest?.("[data-pick-all]")) {
    for (const row of rows()) tick(row, event.target.checked);
    show();
  } else if (event.target.closest?.("[data-pick-none]")) none();
  const link = event.target.closest?.("a[data-with-rows]");
  if (link && ticked.size) {
    const chosen = new URLSearchParams([...ticked].map((uid) => ["rows", uid]));
    link.href = `${new URL(link.href).pathname}?${chosen}`;
  }
});

document.addEventListener("change", (event) => {
  if (event.target.name === "field" && event.target.form?.id === "chosen") suggest();
});

export function startWires() {
  if (!bar()) return;
  // The browser keeps ticks when a page is shown again.
  for (const box of document.querySelectorAll("[data-pick]:checked")) ticked.add(uidOf(rowOf(box)));
  suggest();
  show();
}
