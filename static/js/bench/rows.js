// Shows on the panel in view how its steps stand (states.js), and what the foot can do.
const MARKS = { held: "on hold", rework: "make again", scrapped: "cut again" };

const nameOf = (button) => button?.querySelector("b")?.textContent.trim() ?? "";

/** What a step's button says of the step; the whole graph of the unit is learned from these. */
export function learn(states, panel) {
  for (const button of panel.querySelectorAll("[data-step]")) {
    const { step, after = "", setup = "", asks = "", where = "", cut = "" } = button.dataset;
    states.steps.set(step, {
      uid: step,
      name: nameOf(button),
      where,
      after: after.split(" ").filter(Boolean),
      setup,
      asks: asks.split(" ").filter(Boolean).map(readAsk),
      cut,
    });
  }
}

function readAsk(text) {
  const [kind, low, high, unit, doubt] = text.split(":");
  return { kind, low: low ? Number(low) : null, high: high ? Number(high) : null, unit, doubt };
}

/** What stands on an open step: "make again: the tug failed (JS)", or nothing. */
function markWords(entry) {
  const mark = MARKS[entry?.state];
  return mark ? [mark, entry.note].filter(Boolean).join(": ") + (entry.who ? ` (${entry.who})` : "") : "";
}

function stepWords(states, unit, uid) {
  const entry = states.entry(unit, uid);
  if (entry?.state === "done") return `done ${entry.when} ${entry.who}`.trim();
  if (entry?.state === "waived") return `left out: ${entry.note} (${entry.who})`;
  const said = markWords(entry);
  const again = entry?.state === "superseded" ? `again: ${entry.note}` : "";
  return [said || again, waitWords(states, unit, uid)].filter(Boolean).join(" · ");
}

/** "after Wire 5: Cut", or nothing. The order within one end goes without saying. */
function waitWords(states, unit, uid) {
  const missing = states.missing(unit, uid);
  if (missing?.setup) return "crimp set-up first";
  if (!missing) return "";
  const own = states.steps.get(uid);
  const first = states.steps.get(missing.step);
  return first && first.where !== own?.where ? `after ${first.where}: ${first.name}` : "";
}

/** What to say to somebody who taps a step that waits. */
export function firstWords(states, unit, uid) {
  const missing = states.missing(unit, uid);
  if (!missing) return "";
  if (missing.setup) return "First a crimp set-up: tool, die, lots and three first-offs.";
  const first = states.steps.get(missing.step);
  return first ? `First: ${first.where}, ${first.name}.` : "Something before it is not done yet.";
}

/** "3 of 4 units done · unit 2 cut again: too short (JS)" */
function batchWords(states, row, uid) {
  const { units } = states;
  const done = units.filter((unit) => states.finished(unit, uid)).length;
  const marks = unitButtons(row).map((button) => [button.dataset.name, markWords(states.entry(button.dataset.unit, uid))]);
  return [`${done} of ${units.length} units done`, ...marks.filter(([, words]) => words).map((said) => said.join(" "))].join(" · ");
}

const unitButtons = (row) => [...row.querySelectorAll("[data-unit]")];

function drawUnits(states, row, uid) {
  for (const button of unitButtons(row)) {
    const state = states.state(button.dataset.unit, uid);
    button.dataset.state = state;
    button.setAttribute("aria-label", `${button.dataset.name}: ${spoken(state)}`);
  }
}

const spoken = (state) => ({ todo: "to do", wait: "waits", ...MARKS })[state] ?? state;

function drawStep(states, button) {
  const uid = button.dataset.step;
  const { units } = states;
  button.dataset.state = states.together(uid);
  button.setAttribute("aria-pressed", String(button.dataset.state === "done"));
  button.classList.toggle("kept", units.some((unit) => states.entry(unit, uid)?.kept));
  const row = button.closest("[data-row]");
  const when = button.querySelector("[data-when]");
  if (when) when.textContent = units.length === 1 ? stepWords(states, units[0], uid) : batchWords(states, row, uid);
  drawUnits(states, row, uid);
}

function drawIndex(states, panels) {
  for (const link of document.querySelectorAll("[data-index] [data-turn]")) {
    const left = link.querySelector("[data-left]");
    const steps = panels.get(link.dataset.turn);
    if (!left || !steps) continue;
    const open = steps.filter((uid) => states.together(uid) !== "done").length;
    left.textContent = open ? `${open} left` : "done";
    link.toggleAttribute("data-finished", open === 0);
  }
}

/** Draws the panel in view. `undo` is what the undo button would take back: {name} or null. */
export function draw(states, panel, panels, undo) {
  const buttons = [...panel.querySelectorAll("[data-step]")];
  for (const button of buttons) drawStep(states, button);
  const now = buttons.find((button) => ["todo", "rework", "scrapped"].includes(button.dataset.state));
  for (const button of buttons) {
    button.classList.toggle("now", button === now);
    if (button === now) button.setAttribute("aria-current", "step");
    else button.removeAttribute("aria-current");
  }
  // The way of the plug's face that the wire of the next row goes into.
  for (const mark of panel.querySelectorAll("[data-way-mark]")) {
    mark.toggleAttribute("data-now", mark.dataset.wayMark === now?.dataset.way);
  }
  const back = panel.querySelector("[data-undo]");
  if (back) {
    back.disabled = !undo;
    const small = back.querySelector("small");
    if (small) small.textContent = undo?.name ?? "";
  }
  const hold = panel.querySelector("[data-hold]");
  if (hold) hold.disabled = !buttons.some((button) => button.dataset.state !== "done");
  for (const place of document.querySelectorAll("[data-setup-of]")) {
    const setup = states.setups[place.dataset.setupOf];
    if (!setup) continue;
    place.textContent = setup.words;
    place.toggleAttribute("data-ready", setup.ready);
  }
  // It counts every step of every unit, so only where somebody looks at it.
  if (document.querySelector("details[open] [data-index]")) drawIndex(states, panels);
}
