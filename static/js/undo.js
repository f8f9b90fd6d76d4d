// Undo and redo of design edits by key, on every page that has the buttons (templates/loom/_undo.html).
//   Ctrl+Z         takes the last edit back      Ctrl+Shift+Z, Ctrl+Y   does it again
// While something is being typed Ctrl+Z takes back letters, as everywhere. The page comes back at
// the place where it was left.
const PLACE = "undone-at";

const typing = (field) =>
  field.matches("[data-cell]")
    ? field.value !== field.dataset.seen
    : field.matches("textarea, select, input:not([type=checkbox]):not([type=radio])") && field.value !== field.defaultValue;

function button(what) {
  return document.querySelector(`form[action$="/${what}"] button`);
}

document.addEventListener("keydown", (event) => {
  const command = (event.ctrlKey || event.metaKey) && !event.altKey;
  const key = event.key.toLowerCase();
  const what = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" && !event.shiftKey ? "redo" : "";
  if (!command || !what || event.isComposing || typing(event.target)) return;
  // An edit that is still on its way is not yet what undo would take back.
  if (document.querySelector(".cell.sending")) return event.preventDefault();
  const found = button(what);
  if (!found) return;
  event.preventDefault();
  found.form.requestSubmit(found);
});

document.addEventListener("submit", (event) => {
  if (!/\/(undo|redo)$/.test(event.target.getAttribute("action") ?? "")) return;
  const here = { page: location.pathname, top: scrollY, cell: document.activeElement?.id ?? "" };
  sessionStorage.setItem(PLACE, JSON.stringify(here));
});

export function returnToPlace() {
  const kept = sessionStorage.getItem(PLACE);
  if (!kept) return;
  sessionStorage.removeItem(PLACE);
  const { page, top, cell } = JSON.parse(kept);
  if (page !== location.pathname) return;
  document.getElementById(cell)?.focus({ preventScroll: true });
  scrollTo(0, top);
}
