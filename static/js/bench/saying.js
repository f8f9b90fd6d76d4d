// Says what is kept here and what the server did not take; lines that somebody takes away.
import { heard, keeps } from "../let_in.js";

const find = (selector) => document.querySelector(selector);

/** What the outbox has: how much is kept, whether this device is let in, what was refused. */
export function showKept(outbox) {
  showSaved(outbox);
  showLocked(outbox);
  showRefused(outbox);
}

const DOING = {
  waiting: "sending again",
  locked: "this tablet is not let in",
  theirs: "until who ticked them logs in",
};

function showSaved(outbox) {
  const place = find("[data-saved]");
  const count = outbox.pending.length;
  const waiting = outbox.state !== "saved" && outbox.state !== "sending";
  if (place) {
    place.classList.toggle("waiting", waiting);
    const doing = DOING[outbox.state] ?? "sending";
    const [big, small] = count ? [`${count} kept here`, doing] : ["saved", ""];
    place.querySelector("b").textContent = big;
    place.querySelector("small").textContent = small;
  } else if (count && outbox.state === "waiting") {
    const line = document.createElement("p");
    line.textContent = `${count} bench ${count === 1 ? "tick is" : "ticks are"} kept on this device and being sent.`;
    find("#notice")?.replaceChildren(line);
  }
}

// Not let in: what is kept waits until this device is, and goes on its way from any page.
let locked = false;
function showLocked(outbox) {
  keeps(outbox.pending.length);
  const now = outbox.state === "locked";
  if (now !== locked) heard(now ? 401 : 200);
  locked = now;
}

/** Lines in a section, each with a button that takes it away. */
export function showLines(selector, lines) {
  const section = find(selector);
  if (!section) return;
  section.hidden = lines.length === 0;
  section.querySelector("ul").replaceChildren(
    ...lines.map(({ words, takeAway }) => {
      const item = document.createElement("li");
      const said = document.createElement("span");
      said.textContent = words;
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Take away" });
      button.addEventListener("click", takeAway);
      item.append(said, button);
      return item;
    }),
  );
}

/** Most answers name the step; none names the unit, which stands last in the label of a batch. */
function refusedWords(label, why) {
  const [where] = label.split(", ");
  const [unit = ""] = label.match(/unit \d+$/) ?? [];
  return why.startsWith(where) ? [unit, why].filter(Boolean).join(", ") : `${label}: ${why}`;
}

function showRefused(outbox) {
  showLines(
    "[data-not-accepted]",
    outbox.refused.map(({ key, why, label }) => ({ words: refusedWords(label, why), takeAway: () => outbox.takeAway(key) })),
  );
}
