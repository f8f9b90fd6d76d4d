// What is copied from a spreadsheet is looked through in a dialog before anything is kept.
//   <a data-paste="wires" data-names="number|from|…" href="/looms/1/import?what=wires">Paste a list</a>
//       opens the list's box here; without scripts it leads to the page that does the same.
//   Ctrl+V of several cells in a table that is edited in place fills from that cell on: the columns
//       as the table shows them, or as a first line names them (pages/paste.py).
// Lists that name their columns go to the list's own preview (pages/imports.py, part_lists.py).
import { readCells } from "./rows.js";

const CLOSED = "textarea, input:not([type]), input[type=text], input[type=search], [contenteditable]";

function dialog(title) {
  let box = document.querySelector("dialog.pasted");
  if (!box) {
    box = document.createElement("dialog");
    box.className = "pasted";
    box.innerHTML =
      '<header><h2 id="pasted-title"></h2><button type="button" class="quiet" data-paste-close aria-label="Close">×</button></header><div></div>';
    box.setAttribute("aria-labelledby", "pasted-title");
    document.body.append(box);
    box.addEventListener("submit", send);
    box.addEventListener("click", (event) => {
      const leaves = event.target.closest("[data-paste-close], .buttons a, .save-bar a");
      if (!leaves) return;
      event.preventDefault();
      box.close();
    });
  }
  box.querySelector("h2").textContent = title;
  return box;
}

function show(box, html) {
  const body = box.querySelector(":scope > div");
  body.innerHTML = html;
  if (!box.open) box.showModal();
  (body.querySelector("[data-focus], #preview") ?? body.querySelector("textarea, button"))?.focus();
}

async function ask(box, address, options = {}) {
  let answer;
  try {
    answer = await fetch(address, options);
  } catch {
    notReached(box);
    return;
  }
  const text = await answer.text();
  if (answer.redirected) done(box, new DOMParser().parseFromString(text, "text/html"));
  else show(box, answer.ok || [409, 422].includes(answer.status) ? text : errorOf(text));
}

// What was pasted stays, to be sent again.
function notReached(box) {
  const line = document.createElement("p");
  line.className = "bad";
  line.setAttribute("role", "alert");
  line.textContent = "Loomwright cannot be reached: nothing was kept. Try again when it can.";
  box.querySelector(":scope > div > p.bad")?.remove();
  box.querySelector(":scope > div").prepend(line);
  for (const form of box.querySelectorAll("form[data-busy]")) form.removeAttribute("data-busy");
  if (!box.open) box.showModal();
}

function errorOf(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  return page.querySelector("main")?.innerHTML ?? '<p class="bad">That could not be done.</p>';
}

function send(event) {
  event.preventDefault();
  const form = event.target;
  const address = event.submitter?.getAttribute("formaction") ?? form.getAttribute("action");
  ask(event.currentTarget, address, { method: "POST", body: new FormData(form, event.submitter) });
}

// What was kept is taken in as if another had done it: what is being typed stays.
function done(box, page) {
  box.close();
  document.getElementById("notice").replaceChildren(...(page.getElementById("notice")?.childNodes ?? []));
  if (document.querySelector("main [data-cell], form[data-live-form]")) {
    document.dispatchEvent(new CustomEvent("live:look"));
  } else document.querySelector("main").replaceWith(page.querySelector("main"));
}

export function openList(link, text = "") {
  const address = new URL(link.href);
  const box = dialog(link.textContent.trim());
  if (!text) {
    address.searchParams.set("in_dialog", "1");
    ask(box, address);
    return;
  }
  const fields = new FormData();
  fields.set("what", link.dataset.paste);
  fields.set("text", text);
  fields.set("in_dialog", "1");
  ask(box, address.pathname, { method: "POST", body: fields });
}

const plain = (name) => name.trim().toLowerCase().replace(/[\s_-]+/g, "_");

// Whether a first line names columns of this list: most of its cells do.
export function namesColumns(link, cells) {
  const known = new Set((link?.dataset.names ?? "").split("|"));
  const filled = cells.filter((cell) => cell.trim());
  return filled.length > 1 && 2 * filled.filter((cell) => known.has(plain(cell))).length > filled.length;
}

export const listLink = (what) => document.querySelector(`[data-paste="${what}"]`);

// --- a table that is edited in place ---

// What is seen of an element, without words for the ear.
function words(element) {
  const seen = element.cloneNode(true);
  for (const each of seen.querySelectorAll(".unseen")) each.remove();
  return seen.textContent.replace(/\s+/g, " ").trim();
}

const isShown = (element) => element.checkVisibility?.() ?? true;

// A row with the lines below that belong to it.
function rowsOf(table) {
  const rows = [];
  for (const line of table.querySelectorAll("tbody tr")) {
    const cells = [...line.querySelectorAll("[data-cell]")];
    if (!cells.length) continue;
    const body = line.parentElement;
    if (line.classList.contains("under") && rows.at(-1)?.body === body) rows.at(-1).cells.push(...cells);
    else rows.push({ body, line, cells });
  }
  return rows;
}

function titleOf(table, cell) {
  const line = cell.closest("tr");
  const head = line.classList.contains("under") ? null : table.tHead?.rows[0]?.cells[cell.closest("td").cellIndex];
  const beside = cell.closest("label, .edited")?.querySelector("b") ?? cell.closest("label")?.firstChild;
  return (head && words(head)) || beside?.textContent.trim() || cell.getAttribute("aria-label");
}

function gridOf(table, focused) {
  const rows = rowsOf(table);
  const titles = {};
  for (const row of rows) for (const cell of row.cells) titles[cell.dataset.cell] ??= titleOf(table, cell);
  const key = ["number", "name"].find((field) => field in titles) ?? "";
  const first = rows.findIndex((row) => row.cells.includes(focused));
  const caption = table.caption?.textContent.trim() ?? "";
  const noun = { Wires: "Wire ", Circuits: "Circuit " }[caption] ?? "";
  return {
    titles,
    key,
    first,
    columns: columnsFrom(rows[first], focused),
    rows: rows.map((row, at) => ({
      name: `${noun}${keyOf(row, key) || at + 1}`,
      key: keyOf(row, key),
      cells: Object.fromEntries(
        row.cells
          .toReversed()
          .map((cell) => [cell.dataset.cell, { to: cell.form.getAttribute("action"), seen: cell.dataset.seen }]),
      ),
    })),
  };
}

// What a row is called: by its key's cell, or by what stands in its place (a wire cut by a plug).
function keyOf(row, key) {
  const cell = row.cells.find((each) => each.dataset.cell === key);
  const number = row.line.querySelector("td.no");
  if (!cell) return number ? words(number) : "";
  const letter = cell.closest("td").querySelector(".numbered > span");
  return `${cell.dataset.seen}${letter ? words(letter) : ""}`;
}

// The field of each column from the focused cell on; "" for one that is not typed in.
function columnsFrom(row, focused) {
  const line = focused.closest("tr");
  const beside = [...line.querySelectorAll("[data-cell]")];
  if (line.classList.contains("under")) return beside.slice(beside.indexOf(focused)).map((cell) => cell.dataset.cell);
  const cells = [...line.cells].slice(focused.closest("td").cellIndex).filter(isShown);
  return cells.map((cell) => cell.querySelector("[data-cell]")?.dataset.cell ?? "");
}

function openCells(focused, text) {
  const fields = new FormData();
  fields.set("text", text);
  fields.set("grid", JSON.stringify(gridOf(focused.closest("table"), focused)));
  fields.set("back", location.pathname);
  ask(dialog("Paste into the table"), `/looms/${document.getElementById("live").dataset.live}/paste`, {
    method: "POST",
    body: fields,
  });
}

const several = (text) => /[\t\n\r]/.test(text.replace(/[\r\n]+$/, ""));

function leadsFromTo(cells) {
  const heads = cells.map(plain);
  return heads.some((head) => /^from(_|$)/.test(head)) && heads.some((head) => /^to(_|$)/.test(head));
}

document.addEventListener("paste", (event) => {
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!several(text) || event.target.closest?.("dialog, table[data-rows]")) return;
  const cell = event.target.closest?.("[data-cell]");
  const link = document.querySelector("[data-paste]");
  const first = readCells(text)[0];
  if (cell) {
    event.preventDefault();
    if (link && leadsFromTo(first) && namesColumns(link, first)) openList(link, text);
    else openCells(cell, text);
  } else if (link && !event.target.closest?.(CLOSED)) {
    event.preventDefault();
    openList(link, text);
  }
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-paste]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  openList(link);
});
