// Cells that are edited in place (macro cell in macros/table.html).
//   <tbody id="wire-5"><tr><td>
//     <form class="cell" method="post" action="…">
//       <input type="hidden" name="field"> <input type="hidden" name="seen">
//       <input id="wire-5-length_mm" name="value" data-cell="length_mm" data-seen="3,520">
// A change sends field, value and the value that was seen; the answer is the whole tbody, with 422
// or 409 and an error in the cell when it was refused. The server reads `seen` by the same rule as
// `value` (of two quick edits the second was seen as it was typed).
//   Enter  keeps and goes down, with Shift up   Esc  reverts   the rest: static/js/cell_moves.js
// A table has thousands of these forms: a bare one is made known to htmx when it is first sent.
// What is being typed while an answer replaces the row stays, with the value that was seen for it.
import { moveBy, moveDown } from "./cell_moves.js";

const sent = new Map(); // cell id -> { waiting: answers outstanding, value: last value sent }

const cellOf = (form) => form?.querySelector("[data-cell]");
const seenField = (cell) => cell.form.elements.namedItem("seen");

export function isDirty(cell) {
  const mine = sent.get(cell.id);
  return mine?.waiting ? true : cell.value !== cell.dataset.seen;
}

const SENDING = {
  "data-hx-target": "closest tbody",
  "data-hx-swap": "outerMorph",
  "data-hx-sync": "closest tbody:queue all",
};

function arm(form) {
  if (form.hasAttribute("data-hx-post")) return;
  for (const [name, value] of Object.entries(SENDING)) form.setAttribute(name, value);
  form.setAttribute("data-hx-post", form.getAttribute("action"));
  window.htmx.process(form);
}

export function keep(cell) {
  const mine = sent.get(cell.id) ?? { waiting: 0, value: cell.dataset.seen };
  if (cell.value === mine.value && !cell.form.classList.contains("unsent")) return;
  cell.form.classList.add("sending");
  cell.form.classList.remove("unsent");
  arm(cell.form);
  cell.form.requestSubmit();
  sent.set(cell.id, { waiting: mine.waiting + 1, value: cell.value });
  seenField(cell).value = cell.value;
}

function revert(cell) {
  cell.value = cell.dataset.seen;
  cell.form.classList.remove("unsent");
  cell.select?.();
}

document.addEventListener("change", (event) => {
  if (event.target.matches?.("[data-cell]")) keep(event.target);
});

document.addEventListener("keydown", (event) => {
  const cell = event.target;
  if (!cell.matches?.("[data-cell]") || event.isComposing || event.altKey || event.metaKey) return;
  let done = false;
  if (event.key === "Enter" && !event.ctrlKey) {
    keep(cell);
    moveDown(cell, event.shiftKey ? -1 : 1);
    done = true;
  } else if (event.key === "Escape") {
    revert(cell);
    done = true;
  } else done = moveBy(event);
  if (done) event.preventDefault();
});

// --- what is typed survives the answer ---

function remember(target, answered) {
  const cells = new Map();
  for (const cell of target.querySelectorAll("[data-cell]")) {
    const mine = sent.get(cell.id);
    const answer = cell.id === answered;
    const stays = answer ? mine.waiting > 1 || cell.value !== mine.value : isDirty(cell);
    const focused = cell === document.activeElement;
    cells.set(cell.id, {
      focused,
      value: stays ? cell.value : null,
      // After its own answer a cell goes on from what the server holds now.
      seen: stays && !answer ? [cell.dataset.seen, seenField(cell).value] : null,
      caret: focused && cell instanceof HTMLInputElement ? [cell.selectionStart, cell.selectionEnd] : null,
    });
  }
  return cells;
}

function restore(cells) {
  for (const [id, was] of cells) {
    const cell = document.getElementById(id);
    if (!cell) continue;
    if (was.value !== null) cell.value = was.value;
    else if (cell instanceof HTMLSelectElement) {
      cell.value = cell.querySelector("option[selected]")?.value ?? cell.value;
    } else cell.value = cell.getAttribute("value");
    if (was.seen) [cell.dataset.seen, seenField(cell).value] = was.seen;
    // What is sent next was seen as it was typed last, not as an earlier answer has it.
    const mine = sent.get(id);
    if (mine?.waiting) seenField(cell).value = mine.value;
    cell.form.classList.toggle("sending", was.value !== null && Boolean(mine?.waiting));
    if (!was.focused) continue;
    if (cell !== document.activeElement) cell.focus();
    if (was.caret && was.value !== null) cell.setSelectionRange(...was.caret);
    else if (was.caret) cell.select();
  }
}

const answeredCell = (event) => {
  const form = event.detail?.ctx?.sourceElement;
  return form?.matches?.("form.cell") ? cellOf(form) : null;
};

let remembered = null;

document.addEventListener("htmx:before:swap", (event) => {
  const cell = answeredCell(event);
  const target = event.detail.ctx.target;
  // An error of another kind goes to the notice and leaves the row as it is.
  if (cell && target instanceof Element && target.contains(cell)) remembered = remember(target, cell.id);
});

document.addEventListener("htmx:finally:request", (event) => {
  const cell = answeredCell(event);
  if (!cell) return;
  const mine = sent.get(cell.id);
  if (mine) mine.waiting -= 1;
  if (remembered) {
    restore(remembered);
    remembered = null;
    if (mine && !mine.waiting) sent.delete(cell.id);
    return;
  }
  // No answer that replaced the row: the value stays here, marked, and Enter sends it again.
  sent.delete(cell.id);
  cell.form.classList.remove("sending");
  cell.form.classList.add("unsent");
  seenField(cell).value = cell.dataset.seen;
  if (!event.detail.ctx.response) notReached();
});

function notReached() {
  const line = document.createElement("p");
  line.className = "bad";
  line.textContent = "Not saved: Loomwright cannot be reached. What you typed stays here; Enter in the cell sends it again.";
  document.getElementById("notice")?.replaceChildren(line);
}

window.addEventListener("beforeunload", (event) => {
  if (document.querySelector(".cell.sending, .cell.unsent")) event.preventDefault();
});
