// The ticking page (macros/bench.html). One tap on a row = one tick, kept on this device first.
//   <div data-bench data-outbox-url="/…/ticks" data-person="3"
//        data-refresh="/…" data-refresh-target="bench-part">
//     <div id="bench-part">                       replaced by the server's own view after saving
//       <ol class="steps" data-in-order>          in order: only the first open step can be ticked
//         <li><form method="post" …><button data-step="uid" data-state="todo|done|held|wait"
//             data-at="12"><i></i><b>Crimp</b><small>…</small></button></form></li>
//       <button data-undo> … <small></small>      undoes the last done step (highest data-at)
//       <button data-hold>                        holds the open step; <dialog data-hold-dialog>
//   <p class="saved" data-saved>, <section data-not-accepted><ul>, <p data-bench-said>
// Ticks say what is so ("this step is done"), never toggle. A tap on a done step does nothing, so
// a double tap with gloves is one tick; a tap on a held step releases it.
// Without scripts, or where the device cannot keep ticks, each button posts its form.
import { freshKey } from "./once.js";
import { Outbox } from "./outbox.js";

const REFRESH_MS = 5_000;
// A view that the server made just before a tick may arrive just after it: what was ticked within
// this time stands over such a view.
const RECENT_MS = 3_000;
const recent = new Map();
const outbox = new Outbox();
const find = (selector) => document.querySelector(selector);
const steps = (bench) => [...bench.querySelectorAll("[data-step]")];
const nameOf = (button) => button?.querySelector("b")?.textContent ?? "";
const clock = () => new Date().toTimeString().slice(0, 5);

// --- what the rows show ---

function setState(button, state, at) {
  button.dataset.state = state;
  if (state === "done") button.dataset.at = String(at);
  else delete button.dataset.at;
  const when = button.querySelector("[data-when]");
  if (when) when.textContent = state === "done" ? `done ${clock()}` : state === "held" ? "on hold" : "";
}

function putInOrder(list) {
  let open = true;
  for (const button of list.querySelectorAll("[data-step]")) {
    const state = button.dataset.state;
    if (state === "done") continue;
    if (state !== "held") button.dataset.state = open ? "todo" : "wait";
    open = false;
  }
}

function lastDone(bench) {
  const done = steps(bench).filter((button) => button.dataset.state === "done");
  return done.reduce((a, b) => (Number(b.dataset.at ?? 0) >= Number(a?.dataset.at ?? 0) ? b : a), null);
}

function redraw(bench) {
  bench.querySelectorAll("[data-in-order]").forEach(putInOrder);
  const now = steps(bench).find((button) => button.dataset.state === "todo");
  for (const button of steps(bench)) {
    button.classList.toggle("now", button === now);
    button.toggleAttribute("aria-current", button === now);
    button.setAttribute("aria-pressed", String(button.dataset.state === "done"));
  }
  const undo = bench.querySelector("[data-undo]");
  const last = lastDone(bench);
  if (undo) {
    undo.disabled = !last;
    undo.value = last?.dataset.step ?? "";
    const small = undo.querySelector("small");
    if (small) small.textContent = nameOf(last);
  }
  const hold = bench.querySelector("[data-hold]");
  if (hold) hold.disabled = !now;
}

// The server's view may be older than what was ticked here: the kept ticks go on top.
function overlay(bench) {
  const pending = new Set();
  const buttonOf = (uid) => steps(bench).find((one) => one.dataset.step === uid);
  const put = (button, ticked, at) => {
    const state = ticked === "undone" ? "todo" : ticked;
    if (button.dataset.state !== state) setState(button, state, at);
  };
  for (const [uid, { state, at, until }] of recent) {
    const button = buttonOf(uid);
    if (until < Date.now()) recent.delete(uid);
    else if (button) put(button, state, at);
  }
  for (const { tick, seq } of outbox.pending) {
    const button = buttonOf(tick.step_uid);
    if (!button) continue;
    pending.add(button);
    put(button, tick.state, 1e12 + seq);
  }
  for (const button of steps(bench)) button.classList.toggle("kept", pending.has(button) && outbox.state === "waiting");
  redraw(bench);
}

function showSaved() {
  const place = find("[data-saved]");
  const count = outbox.pending.length;
  const waiting = outbox.state === "waiting";
  if (place) {
    place.classList.toggle("waiting", waiting);
    const [big, small] = !count ? ["saved", ""] : [`${count} kept here`, waiting ? "sending again" : "sending"];
    place.querySelector("b").textContent = big;
    place.querySelector("small").textContent = small;
  } else if (count && waiting) {
    say(find("#notice"), `${count} bench ${count === 1 ? "tick is" : "ticks are"} kept on this device and being sent.`);
  }
}

function showRefused() {
  const section = find("[data-not-accepted]");
  if (!section) return;
  section.hidden = outbox.refused.length === 0;
  section.querySelector("ul").replaceChildren(
    ...outbox.refused.map(({ key, why, label }) => {
      const item = document.createElement("li");
      const words = document.createElement("span");
      words.textContent = `${label}: ${why}`;
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Take away" });
      button.addEventListener("click", () => outbox.takeAway(key));
      item.append(words, button);
      return item;
    }),
  );
}

function say(place, words) {
  if (!place) return;
  const line = document.createElement("p");
  line.textContent = words;
  place.replaceChildren(line);
}

// --- ticks ---

async function tick(bench, button, state, note = "") {
  if (button.dataset.busy) return;
  button.dataset.busy = "1";
  try {
    const label = [bench.querySelector("h1")?.textContent, nameOf(button)].filter(Boolean).join(", ");
    await outbox.add(bench.dataset.outboxUrl, label, {
      key: freshKey(),
      step_uid: button.dataset.step,
      state,
      person_id: Number(bench.dataset.person) || null,
      note,
      client_at: new Date().toISOString(),
    });
    recent.set(button.dataset.step, { state, at: 1e12 + Date.now(), until: Date.now() + RECENT_MS });
    overlay(bench);
  } catch {
    // The device cannot keep it: the plain form can.
    button.form?.requestSubmit(button);
  } finally {
    delete button.dataset.busy;
  }
}

function onStep(bench, button) {
  const { state } = button.dataset;
  const said = bench.querySelector("[data-bench-said]");
  if (said) said.textContent = "";
  if (!Number(bench.dataset.person)) {
    if (said) said.textContent = "Choose your name at the top first: every tick carries one.";
    find("#who")?.focus();
  } else if (state === "todo") tick(bench, button, "done");
  else if (state === "held") tick(bench, button, "undone");
  else if (state === "wait" && said) {
    const first = steps(bench).find((one) => one.dataset.state === "todo" || one.dataset.state === "held");
    said.textContent = `First: ${nameOf(first)}.`;
  }
}

function onHold(bench) {
  const now = steps(bench).find((button) => button.dataset.state === "todo");
  const dialog = bench.querySelector("[data-hold-dialog]");
  if (!now) return;
  if (!dialog) {
    tick(bench, now, "held");
    return;
  }
  const note = dialog.querySelector("textarea");
  note.value = "";
  dialog.querySelector("[data-hold-step]").textContent = nameOf(now);
  dialog.returnValue = "";
  dialog.onclose = () => {
    if (dialog.returnValue === "hold") tick(bench, now, "held", note.value.trim());
  };
  dialog.showModal();
}

function onClick(event, bench) {
  const button = event.target.closest("button");
  if (!button || !bench.contains(button)) return;
  if (button.matches("[data-step]")) onStep(bench, button);
  else if (button.matches("[data-undo]")) {
    const last = lastDone(bench);
    if (last) tick(bench, last, "undone");
  } else if (button.matches("[data-hold]")) onHold(bench);
  else return;
  event.preventDefault();
}

// --- the server's own view ---

function refresh(bench) {
  const { refresh: url, refreshTarget: id } = bench.dataset;
  if (!url || document.hidden || outbox.pending.length || !navigator.onLine) return;
  if (bench.querySelector("dialog[open]")) return;
  htmx.ajax("GET", url, { target: `#${id}`, swap: "outerMorph" }).catch(() => {});
}

/** Starts the ticking page, if this is one; elsewhere sends what an earlier visit left. */
export async function startBench() {
  const bench = find("[data-bench]");
  try {
    await outbox.open();
  } catch {
    return;
  }
  outbox.addEventListener("change", () => {
    showSaved();
    showRefused();
    if (outbox.refused.length) recent.clear();
    if (bench) overlay(bench);
  });
  showSaved();
  if (!bench) return;
  overlay(bench);
  showRefused();
  bench.addEventListener("click", (event) => onClick(event, bench));
  outbox.addEventListener("settled", () => setTimeout(() => refresh(bench), 0));
  document.addEventListener("htmx:after:swap", () => overlay(bench));
  setInterval(() => refresh(bench), REFRESH_MS);
  window.addEventListener("beforeunload", (event) => {
    if (outbox.state === "waiting" && outbox.pending.length) event.preventDefault();
  });
  bench.dataset.ready = "1";
}
