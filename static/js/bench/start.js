// The ticking page (pages/bench.py, templates/bench/bench.html says what it holds). One tap on a row
// is one tick, kept on this device first; with several units in view, one tick for each of them.
//   <div data-bench data-loom data-units="11,12" data-revision data-person data-initials
//        data-feed="/…" data-last data-met data-mark data-tab data-states='{…}' data-setups='{…}'
//        data-lists='{…}'>
//     <div id="bench-part" data-key data-name> … rows: <li data-row> <button data-step …> …
//   <p class="saved" data-saved>, <section data-not-accepted><ul>, <section data-told><ul>,
//   <p data-bench-said>, <p data-people>
// Ticks say what is so ("this step is done"), never toggle. A tap on a done step does nothing, so
// a double tap with gloves is one tick; a tap on a held step releases it.
// Without scripts, or where the device cannot keep ticks, each button posts its form.
import { StepDialog } from "./dialog.js";
import { Feed } from "./feed.js";
import { Lists, tabOf } from "./lists.js";
import { isOurs, Outbox } from "./outbox.js";
import { allPanels, inView, Panels } from "./panels.js";
import { draw, firstWords, learn } from "./rows.js";
import { showKept, showLines } from "./saying.js";
import { States } from "./states.js";
import { Ticks } from "./ticks.js";

const PICTURE_MS = 400;
const NOTHING_KEPT = "This device keeps no ticks: its storage is closed. Each goes straight to the server.";
const outbox = new Outbox();
const find = (selector) => document.querySelector(selector);

// --- the page ---

class Bench {
  #bench;
  #states;
  #ticks;
  #panels;
  #dialog;
  #feed;
  #met;
  #mark;
  #lists;
  #told = new Map();
  #stepsOf = new Map();
  #picture = 0;

  constructor(bench) {
    this.#bench = bench;
    this.#met = Number(bench.dataset.met) || 0;
    this.#mark = bench.dataset.mark ?? "";
    this.#states = new States(bench.dataset.units.split(","));
    this.#states.begin(JSON.parse(bench.dataset.states), Number(bench.dataset.last) || 0);
    this.#states.setups = JSON.parse(bench.dataset.setups ?? "{}");
    for (const panel of allPanels()) {
      learn(this.#states, panel);
      this.#stepsOf.set(panel.dataset.key, [...panel.querySelectorAll("[data-step]")].map((one) => one.dataset.step));
    }
    this.#ticks = new Ticks(bench, this.#states, outbox);
    for (const { unit, tick } of outbox.pending) this.#ticks.show(unit, tick);
    this.#panels = new Panels(bench, () => this.#turned());
    this.#lists = new Lists(bench, () => outbox.pending.length > 0);
    for (const words of this.#lists.said) this.#tell(words, words);
    this.#dialog = new StepDialog(bench, this.#states, (...said) => this.#state(...said));
    bench.addEventListener("click", (event) => this.#click(event));
    find(".bench-list")?.addEventListener("toggle", () => this.draw());
    document.addEventListener("htmx:after:swap", () => {
      this.#panels.settle();
      this.draw();
    });
    outbox.addEventListener("settled", (event) => this.#settled(event.detail));
    const back = () => outbox.send();
    this.#feed = new Feed(() => this.#feedAddress(), (news) => this.#take(news), back);
  }

  draw() {
    const { pending, state } = outbox;
    for (const { unit, tick, key } of pending) {
      const entry = this.#states.entry(unit, tick.step_uid);
      if (entry?.key === key) entry.kept = state !== "saved" && state !== "sending";
    }
    draw(this.#states, inView(), this.#stepsOf, this.#ticks.last(inView()));
  }

  #say(words) {
    const place = inView().querySelector("[data-bench-said]");
    if (place) place.textContent = words;
  }

  // --- taps ---

  #click(event) {
    const button = event.target.closest("button");
    if (!button || !this.#bench.contains(button) || button.closest("dialog")) return;
    const uid = button.closest("[data-row]")?.querySelector("[data-step]")?.dataset.step;
    if (button.matches("[data-step]")) this.#tap(button.dataset.step, this.#states.units);
    else if (button.matches("[data-unit]") && uid) this.#tap(uid, [button.dataset.unit]);
    else if (button.matches("[data-more]") && uid) this.#open(uid, { why: true });
    else if (button.matches("[data-undo]")) this.#undo();
    else if (button.matches("[data-hold]")) this.#hold();
    else return;
    event.preventDefault();
  }

  #tap(uid, units) {
    this.#say("");
    const states = this.#states;
    const of = (...words) => units.filter((unit) => words.includes(states.state(unit, uid)));
    const open = of("todo", "rework", "scrapped");
    if (open.length && states.steps.get(uid).asks.length) this.#open(uid);
    else if (open.length) this.#state(open, uid, "done");
    else if (of("held").length) this.#state(of("held"), uid, "undone");
    else if (of("wait").length) this.#say(firstWords(states, of("wait")[0], uid));
  }

  #undo() {
    const last = this.#ticks.last(inView());
    if (last) this.#state(last.units, last.step, "undone");
  }

  #hold() {
    const buttons = [...inView().querySelectorAll("[data-step]")];
    const button = buttons.find((one) => one.classList.contains("now")) ?? buttons.find((one) => one.dataset.state !== "done");
    if (button) this.#open(button.dataset.step, { why: true });
  }

  // A reason that is typed without a name could not be kept.
  #open(uid, options) {
    if (this.#isNamed()) this.#dialog.open(uid, options);
  }

  #isNamed() {
    if (this.#ticks.person) return true;
    this.#say("Choose your name at the top first: every tick carries one.");
    find("#who")?.focus();
    return false;
  }

  async #state(units, uid, state, note = "", values = {}) {
    if (!this.#isNamed()) return;
    try {
      await this.#ticks.state(units, uid, state, note, values);
      this.draw();
    } catch {
      // The device cannot keep it: the plain form can, where it says all.
      const button = inView().querySelector(`[data-step="${CSS.escape(uid)}"]`);
      if (state === "done" && units.length === 1 && !note && button) button.form.requestSubmit(button);
      else this.#say("This device cannot keep ticks: its storage is full or closed. Nothing was ticked.");
    }
  }

  // --- what the server says ---

  #settled({ batch, saved, refused, told, last }) {
    const unitOf = new Map(batch.map((record) => [record.key, record]));
    for (const key of saved) {
      const { unit, tick } = unitOf.get(key);
      this.#states.confirm(unit, tick.step_uid, key, last);
    }
    for (const key of refused) {
      const { unit, tick } = unitOf.get(key);
      this.#states.forget(unit, tick.step_uid, key);
      // The answer says what was stated instead.
      this.#told.delete(`over ${unit} ${tick.step_uid}`);
    }
    for (const { key, words } of told) {
      const [unit] = this.#states.units.length > 1 ? (unitOf.get(key)?.label.match(/unit \d+$/) ?? []) : [];
      this.#tell(`key ${key}`, [unit, words].filter(Boolean).join(", "));
    }
    this.#showTold();
    this.draw();
    this.#feed.ask();
  }

  #feedAddress() {
    const { feed, units } = this.#bench.dataset;
    const address = new URL(feed, location.href);
    const at = (inView().dataset.name ?? "").slice(0, 80);
    const asked = { seen: this.#states.last, met: this.#met, mark: this.#mark, tab: tabOf(this.#bench), unit: units.split(",")[0], at };
    for (const [name, value] of Object.entries(asked)) address.searchParams.set(name, value);
    return address;
  }

  #take({ last, met, mark, ticks = [], meetings = [], people, setups, lists }) {
    const { units } = this.#states;
    const ours = ticks.filter((tick) => units.includes(String(tick.unit_id)));
    this.#tellOverturned(ours);
    this.#states.take(ours.map((tick) => ({ ...tick, unit_id: String(tick.unit_id) })), last ?? 0);
    this.#met = Math.max(this.#met, met ?? 0);
    this.#mark = mark ?? this.#mark;
    if (setups) this.#states.setups = setups;
    // Of what this device has stated itself it is told by the answer.
    for (const { id, key, words } of meetings) if (!isOurs(key)) this.#tell(`met ${id}`, words);
    if (people) this.#showPeople(people);
    if (lists) this.#lists.take(lists);
    this.draw();
    if (ours.length) this.#newPicture();
  }

  // What somebody else has put in doubt of what was done here.
  #tellOverturned(ticks) {
    const me = this.#ticks.person;
    for (const { unit_id: unit, step_uid: step, state, note, who, person_id: by } of ticks) {
      const before = this.#states.entry(String(unit), step);
      if (by === me || before?.state !== "done" || state === "done" || !this.#states.steps.has(step)) continue;
      const { name, where } = this.#states.steps.get(step);
      const words = { held: "put on hold", rework: "has to be made again", scrapped: "was scrapped", undone: "was undone" }[state];
      if (words) this.#tell(`over ${unit} ${step}`, `${where}, ${name}: ${words} by ${who}${note ? `: ${note}` : ""}`);
    }
  }

  #tell(id, words) {
    this.#told.set(id, words);
    this.#showTold();
  }

  #showTold() {
    const takeAway = (id) => () => {
      this.#told.delete(id);
      this.#showTold();
    };
    showLines("[data-told]", [...this.#told].map(([id, words]) => ({ words, takeAway: takeAway(id) })));
  }

  #showPeople(people) {
    const place = find("[data-people]");
    if (place) place.textContent = people.map(({ name, unit, at }) => [name, [unit, at].filter(Boolean).join(", ")].join(": ")).join(" · ");
  }

  // --- the drawing of the panel, which the server makes ---

  #turned() {
    this.draw();
    this.#newPicture();
  }

  #newPicture() {
    clearTimeout(this.#picture);
    this.#picture = setTimeout(() => {
      if (document.hidden || outbox.pending.length || !navigator.onLine || this.#bench.querySelector("dialog[open]")) return;
      htmx.ajax("GET", this.#panels.address, { target: "#bench-part", swap: "outerMorph" }).catch(() => {});
    }, PICTURE_MS);
  }
}

/** Starts the ticking page, if this is one; elsewhere sends what an earlier visit left. */
export async function startBench() {
  const place = find("[data-bench]");
  try {
    await outbox.open();
  } catch {
    // The page works as it does without scripts: each tick is a form.
    document.documentElement.classList.toggle("js", !place);
    if (place) inView().querySelector("[data-bench-said]").textContent = NOTHING_KEPT;
    return;
  }
  const bench = place && new Bench(place);
  outbox.addEventListener("change", () => {
    showKept(outbox);
    bench?.draw();
  });
  showKept(outbox);
  if (!bench) return;
  bench.draw();
  window.addEventListener("beforeunload", (event) => {
    // What is locked goes on its way from any page, once the device is let in again.
    if (outbox.pending.length && outbox.state === "waiting") event.preventDefault();
  });
  place.dataset.ready = "1";
}
