// Makes ticks: one per unit, each with its own key, kept in the outbox before it is shown.
import { tickKey } from "./outbox.js";
import { unitName } from "./panels.js";

const KEPT_UNDOS = 30;
const clock = () => new Date().toTimeString().slice(0, 5);

export class Ticks {
  #bench;
  #states;
  #outbox;

  constructor(bench, states, outbox) {
    this.#bench = bench;
    this.#states = states;
    this.#outbox = outbox;
  }

  get person() {
    return Number(this.#bench.dataset.person) || null;
  }

  /** States something of a step on these units. `values`: {unit: {height_mm, pull_n}}.
      Throws where the device cannot keep it. */
  async state(units, uid, state, note = "", values = {}) {
    const step = this.#states.steps.get(uid);
    const made = units.map((unit) => this.#entry(unit, step, state, note, values[unit]));
    await this.#outbox.add(made);
    for (const { unit, tick } of made) this.show(unit, tick);
    if (state === "done") this.#remember({ step: uid, units });
  }

  /** Lays a tick that is kept here over what the server has said. */
  show(unit, tick) {
    const { key, step_uid: step, state, note } = tick;
    const who = this.#bench.dataset.initials ?? "";
    this.#states.put(unit, step, { state, id: 0, when: clock(), who, note, key, kept: false });
  }

  #entry(unit, step, state, note, values = {}) {
    return {
      url: `/units/${unit}/ticks?revision=${this.#bench.dataset.revision}`,
      unit,
      label: [step.where, step.name, this.#states.units.length > 1 ? unitName(this.#bench, unit) : ""]
        .filter(Boolean)
        .join(", "),
      tick: {
        key: tickKey(),
        step_uid: step.uid,
        state,
        person_id: this.person,
        note,
        client_at: new Date().toISOString(),
        seen: this.#states.seen(unit, step.uid),
        ...values,
      },
    };
  }

  // --- the last tick of this device, wherever it is ---

  get #place() {
    return `loomwright-undo-${this.#bench.dataset.loom}`;
  }

  #remembered() {
    try {
      return JSON.parse(localStorage.getItem(this.#place) ?? "[]");
    } catch {
      return [];
    }
  }

  #remember(last) {
    try {
      localStorage.setItem(this.#place, JSON.stringify([...this.#remembered(), last].slice(-KEPT_UNDOS)));
    } catch {
      // Without it undo goes by what stands on the panel in view.
    }
  }

  /** What undo takes back: {step, units, name} of this device's last tick that still stands, else
      the last done step of the panel in view; null where there is none. */
  last(panel) {
    const states = this.#states;
    const standing = ({ step, units }) =>
      states.steps.has(step) ? units.filter((unit) => states.units.includes(unit) && states.entry(unit, step)?.state === "done") : [];
    const mine = this.#remembered().reverse();
    for (const { step, units } of mine) {
      const left = standing({ step, units });
      if (left.length) return this.#named(step, left);
    }
    const done = [...panel.querySelectorAll("[data-step]")].map((button) => button.dataset.step);
    const order = (step) => Math.max(...standing({ step, units: states.units }).map((unit) => states.entry(unit, step).id || Infinity));
    const step = done.filter((uid) => standing({ step: uid, units: states.units }).length).sort((a, b) => order(b) - order(a))[0];
    if (!step) return null;
    const left = standing({ step, units: states.units });
    const { who } = states.entry(left[0], step);
    return this.#named(step, left, who === this.#bench.dataset.initials ? "" : `ticked by ${who}`);
  }

  #named(uid, units, by = "") {
    const { name, where } = this.#states.steps.get(uid);
    const some = units.length < this.#states.units.length ? units.map((unit) => unitName(this.#bench, unit)) : [];
    return { step: uid, units, name: [name, where, ...some, by].filter(Boolean).join(", ") };
  }
}
