// From cell to cell in tables whose cells are edited in place (static/js/cell.js).
//   ↑ ↓            the same column of the row above or below
//   ← →            at the text's end, the next cell; from a row with few cells into the one it belongs to
//   Home End       at the text's end, the first or last cell of the row
//   PageUp, PageDown   ten rows; with Ctrl, Home and End go to the first and last row
// In a cell with suggestions ↑ ↓ move while nothing is typed; then they choose among those.
const PAGE_ROWS = 10;

const fieldsOf = (element) => [...element.querySelectorAll("[data-cell]")].filter((cell) => !cell.closest("[hidden]"));

export function focusOn(cell) {
  if (!cell) return false;
  cell.focus();
  cell.select?.();
  return true;
}

const column = (cell) =>
  [...cell.closest("table").querySelectorAll(`[data-cell="${CSS.escape(cell.dataset.cell)}"]`)].filter(
    (each) => !each.closest("[hidden]"),
  );

export function cellAbove(cell) {
  const same = column(cell);
  return same[same.indexOf(cell) - 1] ?? null;
}

export function moveDown(cell, step) {
  const same = column(cell);
  const at = same.indexOf(cell);
  const next = Math.max(0, Math.min(same.length - 1, at + step));
  return next !== at && focusOn(same[next]);
}

function moveAcross(cell, step) {
  const line = fieldsOf(cell.closest("tr"));
  return focusOn(line[line.indexOf(cell) + step] ?? beside(cell, step) ?? wrapped(cell, step));
}

// A second wire of a link has no cell of its own there: the link's, on its first line.
function beside(cell, step) {
  const here = cell.closest("td");
  const first = cell.closest("tbody")?.rows[0];
  if (!here || !first || first === here.parentElement) return null;
  const others = fieldsOf(first).filter((each) => {
    const at = each.closest("td").cellIndex;
    return step < 0 ? at < here.cellIndex : at > here.cellIndex;
  });
  return others.at(step < 0 ? -1 : 0) ?? null;
}

function wrapped(cell, step) {
  const all = fieldsOf(cell.closest("table"));
  return all[all.indexOf(cell) + step];
}

function moveToEnd(cell, step) {
  const row = fieldsOf(cell.closest("tbody").rows[0]);
  return focusOn(row.at(step < 0 ? 0 : -1));
}

const atEnd = (cell, step) =>
  cell.selectionStart === 0 && cell.selectionEnd === cell.value.length
    ? true
    : cell.selectionStart === cell.selectionEnd && cell.selectionStart === (step < 0 ? 0 : cell.value.length);

const STEPS = { ArrowUp: -1, ArrowDown: 1, PageUp: -PAGE_ROWS, PageDown: PAGE_ROWS };
const ENDS = { Home: -1, End: 1 };

// True when the key has moved the focus.
export function moveBy(event) {
  const cell = event.target;
  if (event.ctrlKey) return event.key in ENDS && moveDown(cell, ENDS[event.key] * Infinity);
  if (event.shiftKey) return false;
  if (event.key.startsWith("Page")) return moveDown(cell, STEPS[event.key]);
  if (!(cell instanceof HTMLInputElement)) return false;
  if (event.key in STEPS) {
    const choosing = cell.list && cell.value !== cell.dataset.seen;
    return !choosing && moveDown(cell, STEPS[event.key]);
  }
  if (event.key in ENDS) return atEnd(cell, ENDS[event.key]) && moveToEnd(cell, ENDS[event.key]);
  if (event.key === "ArrowLeft") return atEnd(cell, -1) && moveAcross(cell, -1);
  if (event.key === "ArrowRight") return atEnd(cell, 1) && moveAcross(cell, 1);
  return false;
}
