// The dialog of one step (templates/bench/_step_dialog.html): hold, make again, scrap, leave out,
// out of order, what was measured. Everything but a measured tick wants its reason.
import { unitName } from "./panels.js";

const WANTS_WHY = new Set(["held", "rework", "scrapped", "early", "waived"]);
const OPEN = new Set(["todo", "wait", "held", "rework", "scrapped"]);
const FIELD = { height: "height_mm", pull: "pull_n" };
const NAMES = { height: "Crimp height", pull: "Pull force" };

/** "1.50 to 1.60 mm", "at least 222.4 N, unconfirmed"; the unit alone where there is no limit. */
function limitWords({ low, high, unit, doubt }) {
  const figure = (value) => (unit === "mm" ? value.toFixed(2) : String(Math.round(value * 10) / 10));
  const [least, most] = [low, high].map((value) => (value === null ? "" : figure(value)));
  const limit = least && most ? `${least} to ${most}` : least ? `at least ${least}` : most ? `at most ${most}` : "";
  return [[limit, unit].filter(Boolean).join(" "), limit && doubt].filter(Boolean).join(", ");
}

export class StepDialog {
  #dialog;
  #bench;
  #states;
  #act;
  #uid = "";

  /** `act(units, uid, state, note, values)` states it. */
  constructor(bench, states, act) {
    this.#bench = bench;
    this.#states = states;
    this.#act = act;
    this.#dialog = bench.querySelector("[data-step-dialog]");
    this.#dialog.addEventListener("click", (event) => {
      const button = event.target.closest("[data-act]");
      if (button) this.#press(button.dataset.act);
    });
    this.#dialog.querySelector("form").addEventListener("submit", (event) => event.preventDefault());
  }

  #find(selector) {
    return this.#dialog.querySelector(selector);
  }

  /** Opens it for a step; `hold` puts the cursor into the reason. */
  open(uid, { why = false } = {}) {
    this.#uid = uid;
    const step = this.#states.steps.get(uid);
    this.#find("[data-dialog-title]").textContent = step.name;
    this.#find("[data-dialog-where]").textContent = step.where;
    this.#find("[data-dialog-why]").value = "";
    this.#find("[data-dialog-error]").textContent = "";
    this.#fillUnits();
    this.#fillMeasures(step);
    this.#offer(step);
    const photo = this.#find("[data-dialog-photo]");
    photo.hidden = !this.#bench.dataset.photos;
    photo.href = `${this.#bench.dataset.photos}?step=${encodeURIComponent(uid)}`;
    this.#dialog.showModal();
    const first = why ? null : this.#find("[data-dialog-measures] input");
    (first ?? this.#find("[data-dialog-why]")).focus();
  }

  #fillUnits() {
    const place = this.#find("[data-dialog-units]");
    const { units } = this.#states;
    place.hidden = units.length < 2;
    place.replaceChildren(
      place.querySelector("legend"),
      ...units.map((unit) => {
        const label = document.createElement("label");
        const box = Object.assign(document.createElement("input"), { type: "checkbox", value: unit, checked: true });
        label.append(box, ` ${unitName(this.#bench, unit)}`);
        return label;
      }),
    );
  }

  #fillMeasures(step) {
    const place = this.#find("[data-dialog-measures]");
    place.hidden = step.asks.length === 0;
    const fields = this.#states.units.flatMap((unit) => step.asks.map((ask) => this.#measure(unit, ask)));
    place.replaceChildren(place.querySelector("legend"), ...fields);
  }

  #measure(unit, ask) {
    const { kind } = ask;
    const label = document.createElement("label");
    const which = this.#states.units.length > 1 ? `${unitName(this.#bench, unit)}: ` : "";
    label.append(`${which}${NAMES[kind] ?? kind} ${limitWords(ask)} `);
    const input = Object.assign(document.createElement("input"), { type: "text", inputMode: "decimal", autocomplete: "off" });
    Object.assign(input.dataset, { measure: FIELD[kind], ofUnit: unit });
    label.append(input);
    return label;
  }

  // Only what can be said of the step as it stands.
  #offer(step) {
    const words = this.#states.units.map((unit) => this.#states.state(unit, step.uid));
    const open = words.some((word) => OPEN.has(word));
    const done = words.includes("done");
    const cut = step.cut && this.#states.units.some((unit) => this.#states.finished(unit, step.cut));
    const offered = {
      measured: step.asks.length > 0 && words.some((word) => word !== "done" && word !== "wait"),
      held: open,
      rework: done && step.uid !== step.cut,
      scrapped: Boolean(cut),
      early: words.includes("wait"),
      waived: open,
      undone: done || words.includes("held"),
      close: true,
    };
    for (const button of this.#dialog.querySelectorAll("[data-act]")) {
      button.hidden = !offered[button.dataset.act];
    }
  }

  #chosen() {
    const boxes = [...this.#dialog.querySelectorAll("[data-dialog-units] input")];
    return boxes.length > 1 ? boxes.filter((box) => box.checked).map((box) => box.value) : this.#states.units;
  }

  // The units that this can be said of.
  #fitting(act, units) {
    const fits = {
      measured: (word) => !["done", "wait"].includes(word),
      held: (word) => OPEN.has(word) && word !== "held",
      waived: (word) => OPEN.has(word),
      early: (word) => word === "wait",
      rework: (word) => word === "done",
      undone: (word) => word === "done" || word === "held",
    }[act];
    const { cut } = this.#states.steps.get(this.#uid);
    if (act === "scrapped") return units.filter((unit) => this.#states.finished(unit, cut));
    return units.filter((unit) => fits(this.#states.state(unit, this.#uid)));
  }

  #press(act) {
    if (act === "close") {
      this.#dialog.close();
      return;
    }
    const why = this.#find("[data-dialog-why]").value.trim();
    const values = this.#values();
    const units = this.#fitting(act, this.#chosen());
    const wrong = this.#mistake(act, why, units, values);
    this.#find("[data-dialog-error]").textContent = wrong;
    if (wrong) {
      if (WANTS_WHY.has(act) && !why) this.#find("[data-dialog-why]").focus();
      return;
    }
    this.#dialog.close();
    const uid = act === "scrapped" ? this.#states.steps.get(this.#uid).cut : this.#uid;
    const state = act === "measured" || act === "early" ? "done" : act;
    this.#act(units, uid, state, why, state === "done" ? values : {});
  }

  #values() {
    const values = {};
    for (const input of this.#dialog.querySelectorAll("[data-measure]")) {
      const typed = input.value.trim();
      if (!typed) continue;
      const { measure, ofUnit } = input.dataset;
      values[ofUnit] = { ...values[ofUnit], [measure]: Number(typed.replace(",", ".")) };
    }
    return values;
  }

  #mistake(act, why, units, values) {
    if (!units.length) return "There is no unit chosen of which this can be said.";
    if (WANTS_WHY.has(act) && !why) return "Say why first: it stays in the journal with your name.";
    const numbers = Object.values(values).flatMap(Object.values);
    if (numbers.some((number) => !(number >= 0))) return "A measured value is a number, such as 1.55.";
    if (act !== "measured" || why) return "";
    for (const unit of units) {
      for (const { kind, low, high, unit: of } of this.#states.steps.get(this.#uid).asks) {
        const value = values[unit]?.[FIELD[kind]];
        if (value === undefined) return `${NAMES[kind]} is missing: measure it, or say why not.`;
        if ((low !== null && value < low) || (high !== null && value > high)) {
          return `${value} ${of} is outside its limits: put it on hold or make it again, or say why it may stay.`;
        }
      }
    }
    return "";
  }
}
