// Tables that are typed through with the keyboard (macro entry_rows in macros/table.html).
//   <table data-rows="needs"><tbody><tr> … inputs named needs-0-name … </tr></tbody></table>
//   <template data-rows-pattern="needs"><tr> … needs-__n__-name … </tr></template>
//   <button type="button" data-row-add="needs">  <output data-rows-said="needs">
// Plain inputs in a plain form: without scripts the rendered rows can be filled in and sent.
//   Enter        the same column of the next row; below the last row, a new one
//   ↑ ↓          the same column of the row above or below (not in a list or with suggestions)
//   Ctrl+D       a copy of this row below it          Ctrl+Delete   takes this row out
//   Ctrl+Enter   sends the form
//   Ctrl+V       cells copied from a spreadsheet fill to the right and downwards; with a first line
//                that names the columns they are looked through as a list (paste.js)
// A hidden field named id or uid belongs to the record and is never copied.
import { listLink, namesColumns, openList } from "./paste.js";

const CONTROLS = "input:not([type=hidden]):not([disabled]), select:not([disabled]), textarea:not([disabled])";
const MOST_ROWS = 1000;

export const controlsOf = (row) => [...row.querySelectorAll(CONTROLS)];
const rowsOf = (table) => [...table.tBodies[0].rows];

function nextNumber(table) {
  const numbers = [...table.querySelectorAll("[name]")].map((control) => {
    const match = control.name.slice(table.dataset.rows.length).match(/^-(\d+)-/);
    return match ? Number(match[1]) : -1;
  });
  return Math.max(-1, ...numbers) + 1;
}

export function newRow(table, below = null) {
  const pattern = document.querySelector(`template[data-rows-pattern="${table.dataset.rows}"]`);
  const row = pattern.content.querySelector("tr").cloneNode(true);
  const number = String(nextNumber(table));
  for (const element of [row, ...row.querySelectorAll("*")]) {
    for (const attribute of [...element.attributes]) {
      if (attribute.value.includes("__n__")) {
        element.setAttribute(attribute.name, attribute.value.replaceAll("__n__", number));
      }
    }
  }
  if (below) below.after(row);
  else table.tBodies[0].append(row);
  return row;
}

function focusOn(row, column) {
  const controls = controlsOf(row);
  const control = controls[Math.min(column, controls.length - 1)];
  control?.focus();
  control?.select?.();
}

function copyRow(table, row, column) {
  const copy = newRow(table, row);
  const from = controlsOf(row);
  controlsOf(copy).forEach((control, index) => {
    if (control.type === "checkbox") control.checked = from[index].checked;
    else control.value = from[index].value;
  });
  focusOn(copy, column);
}

function removeRow(table, row, column = 0) {
  const rows = rowsOf(table);
  const beside = rows[rows.indexOf(row) + 1] ?? rows[rows.indexOf(row) - 1] ?? newRow(table);
  row.remove();
  focusOn(beside, column);
}

// A spreadsheet's cells as text: tabs and line ends, quotes around a cell that holds either.
export function readCells(text) {
  const rows = [[]];
  let cell = "";
  let quoted = false;
  const source = text.replace(/\r\n?/g, "\n").replace(/\n$/, "");
  for (let at = 0; at < source.length; at += 1) {
    const character = source[at];
    if (quoted) {
      if (character !== '"') cell += character;
      else if (source[at + 1] === '"') {
        cell += '"';
        at += 1;
      } else quoted = false;
    } else if (character === '"' && cell === "" && closesLater(source, at)) quoted = true;
    else if (character === "\t" || character === "\n") {
      rows.at(-1).push(cell);
      cell = "";
      if (character === "\n") rows.push([]);
    } else cell += character;
  }
  rows.at(-1).push(cell);
  return rows;
}

// An inch mark at the start of a cell is no quote: a quoted cell ends with one before tab or line end.
const closesLater = (source, at) => /^"(?:[^"]|"")*"(?=\t|\n|$)/.test(source.slice(at));

// Puts a pasted value in; false when this control cannot take it.
function fill(control, value) {
  const text = value.trim();
  if (control.type === "checkbox") {
    const yes = /^(1|y|yes|true|x)$/i.test(text);
    if (!yes && !/^(0|n|no|false)?$/i.test(text)) return false;
    control.checked = yes;
  } else if (control instanceof HTMLSelectElement) {
    const same = (word) => word.trim().toLowerCase() === text.toLowerCase();
    const option = [...control.options].find((one) => same(one.value) || same(one.text));
    if (!option) return false;
    control.value = option.value;
  } else control.value = control instanceof HTMLTextAreaElement ? value : text.replace(/\s+/g, " ");
  control.dispatchEvent(new Event("input", { bubbles: true }));
  return true;
}

function say(table, words) {
  const place = document.querySelector(`[data-rows-said="${table.dataset.rows}"]`);
  if (place) place.textContent = words;
}

function paste(table, row, column, cells) {
  const rows = rowsOf(table);
  const first = rows.indexOf(row);
  const missed = [];
  let beyond = 0;
  const kept = cells.slice(0, MOST_ROWS - first);
  kept.forEach((values, down) => {
    const target = rows[first + down] ?? newRow(table);
    const controls = controlsOf(target);
    values.forEach((value, right) => {
      const control = controls[column + right];
      if (!control) beyond += value.trim() ? 1 : 0;
      else if (!fill(control, value)) {
        const head = table.tHead.rows[0].cells[control.closest("td").cellIndex].textContent;
        missed.push(`row ${first + down + 1}, ${head}: “${value.trim()}” is not in the list`);
      }
    });
  });
  const words = [`${kept.length} ${kept.length === 1 ? "row" : "rows"} pasted.`];
  if (cells.length > kept.length) words.push(`${cells.length - kept.length} more did not fit.`);
  if (beyond) words.push(`${beyond} cells stood to the right of the table and were left out.`);
  if (missed.length) words.push(`Not taken: ${missed.slice(0, 6).join("; ")}${missed.length > 6 ? `; and ${missed.length - 6} more` : ""}.`);
  say(table, words.join(" "));
}

function onKey(event, table) {
  const control = event.target.closest(CONTROLS);
  const row = event.target.closest("tbody tr");
  if (!control || !row || event.isComposing) return;
  const column = controlsOf(row).indexOf(control);
  const rows = rowsOf(table);
  const at = rows.indexOf(row);
  const chord = (event.ctrlKey || event.metaKey) && !event.altKey && !event.shiftKey;
  const bare = !event.ctrlKey && !event.metaKey && !event.altKey && !event.shiftKey;
  const free = !(control instanceof HTMLSelectElement || control instanceof HTMLTextAreaElement || control.list);
  const act = (what) => {
    event.preventDefault();
    what();
  };
  if (chord && event.key === "Enter") act(() => control.form?.requestSubmit());
  else if (chord && event.key.toLowerCase() === "d") act(() => copyRow(table, row, column));
  else if (chord && event.key === "Delete") act(() => removeRow(table, row, column));
  else if (bare && event.key === "Enter" && !(control instanceof HTMLTextAreaElement)) {
    act(() => focusOn(rows[at + 1] ?? newRow(table), column));
  } else if (bare && free && event.key === "ArrowDown" && rows[at + 1]) act(() => focusOn(rows[at + 1], column));
  else if (bare && free && event.key === "ArrowUp" && at > 0) act(() => focusOn(rows[at - 1], column));
}

function onPaste(event, table) {
  const control = event.target.closest(CONTROLS);
  const row = event.target.closest("tbody tr");
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!control || !row || !/[\t\n\r]/.test(text.replace(/[\r\n]+$/, ""))) return;
  event.preventDefault();
  const cells = readCells(text);
  const link = listLink(table.dataset.rows);
  if (link && namesColumns(link, cells[0])) openList(link, text);
  else paste(table, row, controlsOf(row).indexOf(control), cells);
}

function tableOf(event) {
  return event.target.closest?.("table[data-rows]");
}

document.addEventListener("keydown", (event) => {
  const table = tableOf(event);
  if (table) onKey(event, table);
});
document.addEventListener("paste", (event) => {
  const table = tableOf(event);
  if (table) onPaste(event, table);
});
document.addEventListener("click", (event) => {
  const remove = event.target.closest("[data-row-remove]");
  if (remove) removeRow(remove.closest("table"), remove.closest("tr"));
  const add = event.target.closest("[data-row-add]");
  if (add) focusOn(newRow(document.querySelector(`table[data-rows="${add.dataset.rowAdd}"]`)), 0);
});
