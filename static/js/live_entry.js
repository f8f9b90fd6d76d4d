// Takes what others saved into a form of rows that is being typed (macro entry_rows; needs, runs).
// The form's hidden "<table>-seen" holds, by uid, the values that each row showed when the page was
// opened; the save compares them. A field that nobody touched here takes what was saved. Of one that
// was touched both values are shown, and what was seen for it stays until one of them is chosen.
import { controlsOf, newRow } from "./rows.js";
import { mark } from "./live_tables.js";

const seenOf = (root, name) => root.querySelector(`input[name="${name}-seen"]`);
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

// The rows of one table by uid; what the sizing rests on is one row without a table.
function rowsOf(root, name) {
  const rows = new Map();
  for (const hidden of root.querySelectorAll(`input[name^="${name}-"][name$="-id"]`)) {
    const prefix = hidden.name.slice(0, -2);
    const fits = prefix === `${name}-` || /^\d+-$/.test(prefix.slice(name.length + 1));
    if (fits && hidden.value) rows.set(hidden.value, { uid: hidden.value, prefix, root, element: hidden.closest("tr") });
  }
  return rows;
}

const control = (row, field) => row.root.querySelector(`[name="${CSS.escape(row.prefix + field)}"]`);

const shown = (each) => (each.type === "checkbox" ? String(each.checked) : each.value);

function opened(each) {
  if (each.type === "checkbox") return String(each.defaultChecked);
  if (!(each instanceof HTMLSelectElement)) return each.defaultValue;
  return [...each.options].find((option) => option.defaultSelected)?.value ?? each.options[0]?.value ?? "";
}

// A form that came back with mistakes shows as opened what was typed: nothing of it is untouched.
const touched = (form, each) => form.hasAttribute("data-mended") || shown(each) !== opened(each);

function put(each, from) {
  if (each.type === "checkbox") each.checked = each.defaultChecked = from.defaultChecked;
  else if (each instanceof HTMLSelectElement) {
    for (const option of each.options) option.defaultSelected = option.value === opened(from);
    each.value = opened(from);
  } else {
    each.defaultValue = from.defaultValue;
    each.value = from.defaultValue;
  }
}

const inWords = (each) => {
  if (each.type === "checkbox") return each.defaultChecked ? "yes" : "no";
  if (each instanceof HTMLSelectElement) return [...each.options].find((one) => one.value === opened(each))?.text.trim() || "nothing";
  return each.defaultValue || "nothing";
};

export function takeInForm(form, anew, by) {
  const rows = [];
  const now = anew.querySelector("form.entry-page[data-live-form]");
  if (!now) return rows;
  for (const hidden of form.querySelectorAll('input[type=hidden][name$="-seen"]')) {
    rows.push(...takeInTable(form, now, hidden.name.slice(0, -"-seen".length), by));
  }
  return rows;
}

function takeInTable(form, now, name, by) {
  const changed = [];
  const field = seenOf(form, name);
  const nowField = seenOf(now, name);
  if (!nowField || field.value === nowField.value) return changed;
  const seen = JSON.parse(field.value || "{}");
  const stands = JSON.parse(nowField.value || "{}");
  const mine = rowsOf(form, name);
  const theirs = rowsOf(now, name);
  let before = null;
  for (const uid of Object.keys(stands)) {
    if (!(uid in seen)) {
      if (!theirs.has(uid)) continue;
      seen[uid] = stands[uid];
      before = takeRow(form, name, theirs.get(uid), before, by);
      changed.push(before);
      continue;
    }
    const row = mine.get(uid);
    // A row that was taken out here stays out; the save says that it was changed meanwhile.
    if (!row) continue;
    const taken = takeFields(form, name, row, theirs.get(uid), seen[uid], stands[uid], by);
    if (taken && row.element) changed.push(row.element);
    before = row.element ?? before;
  }
  for (const uid of Object.keys(seen)) {
    if (uid in stands) continue;
    if (takenOut(form, mine.get(uid), by)) delete seen[uid];
  }
  field.value = JSON.stringify(seen);
  return changed;
}

function takeFields(form, name, row, theirs, seen, stands, by) {
  let taken = false;
  for (const field of Object.keys(stands)) {
    if (same(seen[field], stands[field])) continue;
    const each = control(row, field);
    const from = theirs && control(theirs, field);
    if (!each || !from) continue;
    if (shown(each) === opened(from) || !touched(form, each)) {
      put(each, from);
      seen[field] = stands[field];
      each.closest(".field")?.querySelector(".theirs")?.remove();
      mark(each.closest(".field") ?? each, by);
      taken = true;
    } else bothValues(form, name, row.uid, field, each, from, stands[field], by);
  }
  return taken;
}

function bothValues(form, name, uid, field, each, from, value, by) {
  const place = each.closest(".field") ?? each.parentElement;
  place.querySelector(".theirs")?.remove();
  const line = document.createElement("p");
  line.className = "theirs";
  line.append(`${by} has set this to `, Object.assign(document.createElement("b"), { textContent: inWords(from) }), ".");
  const settle = (take) => {
    const hidden = seenOf(form, name);
    const seen = JSON.parse(hidden.value);
    seen[uid][field] = value;
    hidden.value = JSON.stringify(seen);
    if (take) put(each, from);
    line.remove();
    each.focus();
  };
  for (const [words, take] of [["Take it", true], ["Keep mine", false]]) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: words });
    button.addEventListener("click", () => settle(take));
    line.append(button);
  }
  place.append(line);
}

// A row that somebody added, below the one that it stands below there.
function takeRow(form, name, theirs, before, by) {
  const table = form.querySelector(`table[data-rows="${name}"]`);
  const row = newRow(table, before);
  if (!before) table.tBodies[0].prepend(row);
  const there = controlsOf(theirs.element);
  controlsOf(row).forEach((each, at) => there[at] && put(each, there[at]));
  row.querySelector('input[type=hidden][name$="-id"]').value = theirs.uid;
  mark(row, by);
  return row;
}

// True when nothing of the row is left here.
function takenOut(form, row, by) {
  if (!row?.element) return true;
  const controls = controlsOf(row.element);
  if (!controls.some((each) => touched(form, each) || each === document.activeElement)) {
    row.element.remove();
    return true;
  }
  if (row.element.querySelector(".theirs.out")) return false;
  const line = document.createElement("p");
  line.className = "theirs out";
  line.textContent = `${by} has taken this row out. Saving asks whether it is put back as it stands here.`;
  row.element.cells[0].append(line);
  return false;
}
