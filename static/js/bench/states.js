// How every step of the units in view stands, worked out here, so that the page is right while the
// server is away: what the server's journal says, and over it what this device has ticked since.
//   entry: {state, id, when, who, note}; `state` as the journal states it, and for people
//   "todo" (may be ticked), "wait" (something before it is open), "done" (also left out).
const FINISHED = new Set(["done", "waived"]);
// What an open step says of itself although it is open.
const MARKED = new Set(["held", "rework", "scrapped"]);

export class States {
  /** uid → {uid, name, where, after: [uid], setup, asks: [{kind, low, high, unit}], cut} */
  steps = new Map();
  /** group key → {ready, words} */
  setups = {};
  /** The highest tick of the loom that the server has told of. */
  last = 0;
  #said = new Map();
  #here = new Map();

  constructor(units) {
    this.units = units;
  }

  /** Takes in what the server says: {unit: {step: [state, id, when, who, note]}}. */
  begin(states, last) {
    for (const [unit, steps] of Object.entries(states)) {
      for (const [step, [state, id, when, who, note]] of Object.entries(steps)) {
        this.#said.set(`${unit} ${step}`, { state, id, when, who, note });
      }
    }
    this.last = last;
  }

  /** Takes in ticks of the journal, in its order. */
  take(ticks, last) {
    for (const { unit_id: unit, step_uid: step, state, id, when, who, note } of ticks) {
      const known = this.#said.get(`${unit} ${step}`);
      if (!known || known.id < id) this.#said.set(`${unit} ${step}`, { state, id, when, who, note });
    }
    this.last = Math.max(this.last, last);
    for (const [place, entry] of this.#here) {
      if (entry.until !== undefined && entry.until <= this.last) this.#here.delete(place);
    }
  }

  /** What this device has ticked: `pending` waits here; `until` is the journal's tick by which the
      server's own word of it has come. */
  put(unit, step, entry) {
    this.#here.set(`${unit} ${step}`, entry);
  }

  /** The server has it: its word comes with the feed. */
  confirm(unit, step, key, until) {
    const entry = this.#here.get(`${unit} ${step}`);
    if (!entry || entry.key !== key) return;
    if (until <= this.last) this.#here.delete(`${unit} ${step}`);
    else Object.assign(entry, { until, kept: false });
  }

  /** The server did not take it, or it is no longer kept. */
  forget(unit, step, key) {
    if (this.#here.get(`${unit} ${step}`)?.key === key) this.#here.delete(`${unit} ${step}`);
  }

  /** The last entry of a step, or undefined. */
  entry(unit, step) {
    return this.#here.get(`${unit} ${step}`) ?? this.#said.get(`${unit} ${step}`);
  }

  /** The last tick of a step that the server told of; 0 for none. */
  seen(unit, step) {
    return this.#said.get(`${unit} ${step}`)?.id ?? 0;
  }

  finished(unit, step) {
    return FINISHED.has(this.entry(unit, step)?.state);
  }

  /** What a step waits for: a step before it that is open, or a set-up; nothing when it may be done. */
  missing(unit, step) {
    const { after = [], setup = "" } = this.steps.get(step) ?? {};
    const open = after.find((uid) => !this.finished(unit, uid));
    if (open) return { step: open };
    if (setup && !this.setups[setup]?.ready) return { setup };
    return undefined;
  }

  /** todo, wait, done, held, rework or scrapped. */
  state(unit, step) {
    const said = this.entry(unit, step)?.state;
    if (FINISHED.has(said)) return "done";
    if (said === "held") return "held";
    if (this.missing(unit, step)) return "wait";
    return MARKED.has(said) ? said : "todo";
  }

  /** One word for all the units in view: what a tap on the row would meet. */
  together(step) {
    const words = this.units.map((unit) => this.state(unit, step));
    const first = ["todo", "rework", "scrapped", "held", "wait"].find((word) => words.includes(word));
    return first ?? "done";
  }
}
