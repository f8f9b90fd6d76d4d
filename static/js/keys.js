// The keyboard map: `?` anywhere outside a field shows it, and so does [data-keys].
// A page's keys stand here once, beside nothing else; `keys` are pressed together, or one of
// those divided by "or".
export const keys = [
  { where: "Every page", keys: ["?"], does: "shows these keys" },
  { where: "Every page", keys: ["/"], does: "goes to the search box; a serial or a code leads straight there" },
  { where: "Every page", keys: ["Esc"], does: "leaves the search box, or closes what is open" },
  { where: "Every page", keys: ["Tab"], does: "goes on to the next field or button; the first press offers to skip to the page" },

  { where: "Wires, circuits, fittings: cells", keys: ["Enter"], does: "keeps what was typed and goes down; with Shift, up" },
  { where: "Wires, circuits, fittings: cells", keys: ["Esc"], does: "puts back what stood there" },
  { where: "Wires, circuits, fittings: cells", keys: ["↑", "or", "↓"], does: "the row above or below" },
  { where: "Wires, circuits, fittings: cells", keys: ["←", "or", "→"], does: "at the end of the text, the next cell" },
  { where: "Wires, circuits, fittings: cells", keys: ["Home", "or", "End"], does: "at the end of the text, the first or last cell of the row; with Ctrl, the first or last row" },
  { where: "Wires, circuits, fittings: cells", keys: ["PageUp", "or", "PageDown"], does: "ten rows up or down" },
  { where: "Wires, circuits, fittings: cells", keys: ["Ctrl", "Z"], does: "takes the last edit back; letters first, while they are typed" },
  { where: "Wires, circuits, fittings: cells", keys: ["Ctrl", "Shift", "Z"], does: "does it again" },
  { where: "Wires: several at once", keys: ["Ctrl", "↑"], does: "takes the value that stands above" },
  { where: "Wires: several at once", keys: ["Shift", "↓", "or", "↑"], does: "chooses this row and the next" },
  { where: "Wires: several at once", keys: ["Ctrl", "Space"], does: "chooses this row, or no longer; so does a click with Ctrl" },
  { where: "Wires: several at once", keys: ["Ctrl", "Enter"], does: "gives what stands in the cell to every chosen row" },
  { where: "Wires: several at once", keys: ["Esc"], does: "in a cell with nothing typed, chooses no row any more" },
  { where: "Wires: several at once", keys: ["Insert"], does: "adds a wire after this one" },

  { where: "Needs, runs and other lists that are typed in", keys: ["Enter"], does: "the same column of the next row; below the last, a new row" },
  { where: "Needs, runs and other lists that are typed in", keys: ["↑", "or", "↓"], does: "the row above or below" },
  { where: "Needs, runs and other lists that are typed in", keys: ["Ctrl", "D"], does: "a copy of this row below it" },
  { where: "Needs, runs and other lists that are typed in", keys: ["Ctrl", "Delete"], does: "takes this row out" },
  { where: "Needs, runs and other lists that are typed in", keys: ["Ctrl", "Enter"], does: "saves" },
  { where: "Needs, runs and other lists that are typed in", keys: ["Ctrl", "V"], does: "cells copied elsewhere fill to the right and downwards" },

  { where: "Plan", keys: ["Tab"], does: "chooses the end of a branch" },
  { where: "Plan", keys: ["←", "or", "→"], does: "turns the branch by 5°, with Shift by 1°" },
  { where: "Plan", keys: ["Esc"], does: "puts it back" },

  { where: "Bench", keys: ["→", "or", "←"], does: "the next wire end, or the one before" },
  { where: "Bench", keys: ["↓", "or", "↑"], does: "the next work step, or the one before" },
  { where: "Bench", keys: ["Space"], does: "ticks the step" },
];

const TYPES = "input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable]";

function element(name, ...content) {
  const made = document.createElement(name);
  made.append(...content);
  return made;
}

function rows(group) {
  return group.flatMap((entry) => [
    element("dt", ...entry.keys.map((key) => (key === "or" ? " " : element("kbd", key)))),
    element("dd", entry.does),
  ]);
}

function build() {
  const dialog = element("dialog");
  dialog.className = "keys-map";
  dialog.setAttribute("aria-labelledby", "keys-title");
  const title = element("h2", "Keys");
  title.id = "keys-title";
  const close = element("button", "Close");
  close.autofocus = true;
  const form = element("form", title, close);
  form.method = "dialog";
  dialog.append(form);
  for (const where of new Set(keys.map((entry) => entry.where))) {
    const list = element("dl", ...rows(keys.filter((entry) => entry.where === where)));
    dialog.append(element("section", element("h3", where), list));
  }
  document.body.append(dialog);
  return dialog;
}

function show() {
  const dialog = document.querySelector("dialog.keys-map") ?? build();
  if (!dialog.open) dialog.showModal();
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "?" || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target.closest(TYPES)) return;
  event.preventDefault();
  show();
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-keys]")) show();
});
