// Takes what others changed into tables whose cells are edited in place (static/js/cell.js).
// Rows are the tbodies with an id. A row that differs is put in place of the old one; in a row
// where somebody is typing only what stands around that cell is, and the cell keeps what is typed
// with the value that was seen for it, so that keeping it asks when both changed it.
import { isDirty } from "./cell.js";

const rowsOf = (table) => [...table.tBodies].filter((row) => row.id);

const words = (element) => element.textContent.replace(/\s+/g, " ").trim();

// What a row shows, without what scripts have added to it.
function shows(element) {
  const cells = [...element.querySelectorAll("[data-cell]")].map((cell) => `${cell.id}=${cell.dataset.seen}`);
  const drawn = [...element.querySelectorAll("svg")].map((svg) => svg.innerHTML);
  const links = [...element.querySelectorAll("a[href]")].map((link) => link.getAttribute("href"));
  return JSON.stringify([words(element), cells, drawn, links]);
}

// The forms of the cells that somebody is in, or has typed into: they never leave the page.
const keptIn = (element) =>
  [...element.querySelectorAll("[data-cell]")]
    .filter((cell) => cell === document.activeElement || isDirty(cell))
    .map((cell) => cell.form);

export async function takeInRows(anew, by) {
  const put = [];
  const tables = [...document.querySelectorAll("main table")].filter((table) => rowsOf(table).length);
  for (const table of tables) {
    const now = partner(table, anew);
    if (now) put.push(...(await takeInTable(table, now, by)));
  }
  return put;
}

// The same table of the page as it is now: that with the same caption, else with a row of this one.
function partner(table, anew) {
  const others = [...anew.querySelectorAll("main table")];
  const caption = table.caption && words(table.caption);
  return (
    others.find((other) => caption && other.caption && words(other.caption) === caption) ??
    others.find((other) => rowsOf(other).some((row) => table.querySelector(`#${CSS.escape(row.id)}`)))
  );
}

async function takeInTable(table, now, by) {
  const put = [];
  const there = new Map([...now.tBodies].filter((row) => row.id).map((row) => [row.id, row]));
  for (const row of rowsOf(table)) if (!there.has(row.id)) takeOut(row, by);
  let before = null;
  for (const body of now.tBodies) {
    const row = body.id ? table.querySelector(`:scope > #${CSS.escape(body.id)}`) : null;
    if (!row) {
      if (!body.id) continue;
      const made = document.importNode(body, true);
      if (before) before.after(made);
      else table.tHead ? table.tHead.after(made) : table.prepend(made);
      mark(made, by);
      window.htmx?.process(made);
      put.push(made);
      before = made;
      continue;
    }
    const with_ = await openedAlike(row, body);
    if (shows(row) !== shows(with_)) put.push(replace(row, document.importNode(with_, true), by));
    before = stands(table, row.id) ?? before;
  }
  inOrder(table, now);
  return put;
}

const stands = (table, id) => table.querySelector(`:scope > #${CSS.escape(id)}`);

// A row whose reasons are open stays open.
async function openedAlike(row, body) {
  const opened = row.querySelector('[aria-expanded="true"][data-hx-get]');
  const closed = body.querySelector('[aria-expanded="false"][data-hx-get]');
  if (!opened || !closed) return body;
  const answer = await fetch(closed.dataset.hxGet, { headers: { "HX-Request": "true", "HX-Request-Type": "partial" } });
  if (!answer.ok) return body;
  const holder = document.createElement("template");
  holder.innerHTML = `<table>${await answer.text()}</table>`;
  return holder.content.querySelector("tbody") ?? body;
}

function takeOut(row, by) {
  if (!keptIn(row).length) {
    row.remove();
    return;
  }
  if (row.classList.contains("taken-out")) return;
  row.classList.add("taken-out");
  note(row, `${by} has taken this row out. What you typed cannot be kept in it: undo brings the row back.`);
}

function note(row, sentence) {
  const line = document.createElement("tr");
  line.className = "under look";
  const cell = line.insertCell();
  cell.colSpan = [...row.rows[0].cells].reduce((sum, each) => sum + each.colSpan, 0);
  const lead = document.createElement("b");
  lead.textContent = "Look at";
  cell.append(lead, ` ${sentence}`);
  row.append(line);
}

// The drawing and the link to the reasons follow the values.
const isValue = (field) => !field.querySelector("svg, :scope > a");

function replace(row, now, by) {
  const was = [...row.querySelectorAll("td, th")].map(shows);
  const kept = keptIn(row);
  now.hidden = row.hidden;
  if (kept.length) blend(row, now, kept);
  else row.replaceWith(now);
  const put = kept.length ? row : now;
  const fields = [...put.querySelectorAll("td, th")];
  if (fields.length === was.length) fields.forEach((field, at) => shows(field) !== was[at] && isValue(field) && mark(field, by));
  else mark(put, by);
  window.htmx?.process(put);
  return put;
}

const cellOf = (form) => form.querySelector("[data-cell]");

// Puts the new content around the forms that are kept.
function blend(old, now, kept) {
  if (kept.includes(old)) {
    keepCell(cellOf(old), cellOf(now));
    return;
  }
  const held = [...old.children].filter((child) => kept.some((form) => child.contains(form)));
  const partners = held.map((child) => {
    const form = kept.find((each) => child.contains(each));
    const same = now.querySelector(`#${CSS.escape(cellOf(form).id)}`);
    return same ? [...now.children].find((each) => each.contains(same)) : null;
  });
  if (partners.some((each) => !each)) return;
  for (const child of [...old.childNodes]) if (!held.includes(child)) child.remove();
  let at = 0;
  for (const child of [...now.childNodes]) {
    if (child === partners[at]) {
      blend(held[at], child, kept);
      at += 1;
    } else if (at < held.length) held[at].before(child);
    else old.append(child);
  }
}

// Not touched yet: it shows what stands now. Typed in: that stays, and what was seen for it.
function keepCell(cell, now) {
  if (isDirty(cell)) {
    if (now.dataset.seen !== cell.dataset.seen) cell.title = `Set to ${now.dataset.seen || "nothing"} meanwhile`;
    return;
  }
  if (cell.dataset.seen === now.dataset.seen) return;
  cell.dataset.seen = now.dataset.seen;
  cell.form.elements.namedItem("seen").value = now.dataset.seen;
  if (cell instanceof HTMLSelectElement) cell.replaceChildren(...now.children);
  else cell.setAttribute("value", now.getAttribute("value") ?? "");
  cell.value = now.dataset.seen;
  cell.select?.();
}

// A row moves to where it stands now, but not the one that holds the focus.
function inOrder(table, now) {
  const wanted = [...now.tBodies].map((body) => body.id).filter((id) => id && stands(table, id));
  let last = null;
  for (const id of wanted) {
    const row = stands(table, id);
    const follows = last ? last.compareDocumentPosition(row) & Node.DOCUMENT_POSITION_FOLLOWING : true;
    if (!follows && !row.contains(document.activeElement)) last.after(row);
    last = row;
  }
}

export function mark(element, by) {
  element.classList.add("just-changed");
  element.title ||= `Changed by ${by}`;
  setTimeout(() => {
    element.classList.remove("just-changed");
    if (element.title === `Changed by ${by}`) element.removeAttribute("title");
  }, 15_000);
}
