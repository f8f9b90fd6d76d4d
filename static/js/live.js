// Several people in one loom (templates/loom/_live.html, pages/live.py).
// While the page is seen it asks every second what is new. What others did to the design is taken
// in without a word of what is being typed: tables whose cells are edited in place by
// live_tables.js, forms of rows by live_entry.js, named parts by live_parts.js; any other page of
// the loom says so and offers to show itself anew. What was ticked, read or moved at the bench is
// taken in by the parts of every page that has some, and by the stage line of the others.
//   document event "live:taken"    detail.rows: the rows that were put in place of others
//   document event "live:look"     ask at once (after a paste)
//   document events "live:writing", "live:written"   an own request that htmx does not send
import { freshKey } from "./once.js";
import { takeInRows } from "./live_tables.js";
import { takeInForm } from "./live_entry.js";
import { keepAsking } from "./live_asking.js";
import { lookAnew, takeInParts, working } from "./live_parts.js";

const EVERY_MS = 1000;
const WITH_OTHERS_MS = 600;
const SAID_FOR_MS = 20_000;
const MOST_SAID = 5;
const SHOWS_ITSELF = /^(plan|cables|price|parts|proposal|alternatives)$/;

const place = document.getElementById("live");
const STAGES = "stages";
const state = { mark: place?.dataset.mark, others: "" };
const own = new Set(); // commands that this page's own requests wrote
let underWay = 0; // own requests without an answer yet
let begun = 0; // how many there have been
let leavingUntil = 0; // a form was sent whose answer is another page

function tabKey() {
  let key = sessionStorage.getItem("tab");
  // A duplicated tab brings the key of the first along, but is another one.
  const kind = performance.getEntriesByType("navigation")[0]?.type;
  if (!key || (kind === "navigate" && window.history.length === 1)) {
    key = freshKey();
    sessionStorage.setItem("tab", key);
  }
  return key;
}

const pageName = () => /^\/(?:looms|units)\/\d+\/([a-z-]+)/.exec(location.pathname)?.[1] ?? "loom";

// --- what is said ---

function say(sentences, { lasts = false } = {}) {
  const said = place.querySelector(".live-said");
  const lines = sentences.map((words) => {
    const line = document.createElement("p");
    if (words instanceof Node) line.append(words);
    else line.textContent = words;
    if (!lasts) setTimeout(() => (line.remove(), settle()), SAID_FOR_MS);
    return line;
  });
  said.append(...lines);
  while (said.children.length > MOST_SAID) said.firstElementChild.remove();
  settle();
}

function settle() {
  const said = place.querySelector(".live-said").childElementCount > 0;
  const here = place.querySelector(".live-here").textContent !== "";
  place.querySelector("[data-live-close]").hidden = !said;
  place.firstElementChild.hidden = !said && !here;
}

function showHere(here) {
  const words = here.map((each) => `${each.name} (${each.page})`);
  place.querySelector(".live-here").textContent = words.length ? `Also here: ${words.join(", ")}` : "";
  settle();
}

function offerAnew(by) {
  const line = document.createElement("span");
  const link = Object.assign(document.createElement("a"), { href: location.href, textContent: "Show it" });
  link.addEventListener("click", (event) => {
    event.preventDefault();
    location.reload();
  });
  line.append(`${by} changed the design since you opened this page. `, link);
  place.querySelector(".live-said").replaceChildren();
  say([line], { lasts: true });
}

// --- asking ---

function address() {
  const asked = new URLSearchParams({ tab: state.tab, mark: state.mark, page: pageName(), others: state.others, ...working() });
  return `/looms/${place.dataset.live}/live?${asked}`;
}

// A mark is what stands in the design, in the stage line and in the work.
const parts = (mark) => mark.split("-");

async function take(news) {
  state.others = news.others;
  showHere(news.here);
  const turned = news.working !== (working().working ?? "");
  if (news.mark === state.mark && !turned) return;
  // The answer to an own edit shows what it did, and may not have come yet.
  if (underWay || Date.now() < leavingUntil) return;
  const [wasDesign, wasStages, wasWork] = parts(state.mark);
  const [design, stages, work] = parts(news.mark);
  const theirs = news.done.filter((each) => !own.has(String(each.id)));
  const ownOnly = news.done.length && !theirs.length && !news.signedOff;
  if (design !== wasDesign && !ownOnly) {
    if (!(await takeDesign(news, theirs))) return;
  } else if (turned || stages !== wasStages || (showsWork() && work !== wasWork)) {
    if (!(await takeProgress())) return;
  }
  if (!underWay) state.mark = news.mark;
}

// Pages where the design is entered do not show its ticks.
const isDesign = () => document.querySelector("form.entry-page[data-live-form], main [data-cell]") !== null;
const showsWork = () => !isDesign() && document.querySelector(`main [data-live-part]:not([data-live-part=${STAGES}])`) !== null;

// --- what was done to the design ---

async function takeDesign(news, theirs) {
  const sentences = theirs.slice(-MOST_SAID).map((each) => each.words);
  if (news.signedOff) sentences.push(news.signedOff);
  const by = [...new Set(theirs.map((each) => each.by))].join(" and ") || "Somebody";
  const taken = await takeIn(by);
  if (taken) say(sentences);
  return taken !== null;
}

// True: taken in. False: the page shows or offers itself anew. Null: to be looked at again.
async function takeIn(by) {
  if (!isDesign() && !showsWork()) {
    if (SHOWS_ITSELF.test(pageName()) || document.querySelector("main form [name]")) offerAnew(by);
    else location.reload();
    return false;
  }
  const edits = begun;
  const anew = await lookAnew();
  if (!anew) {
    offerAnew(by);
    return false;
  }
  // An own edit that began meanwhile is newer than what was asked for, even where its answer has
  // come already: look again.
  if (begun !== edits || document.querySelector(".cell.sending")) return null;
  const form = document.querySelector("form.entry-page[data-live-form]");
  const rows = form ? takeInForm(form, anew, by) : await takeInRows(anew, by);
  await takeInParts(anew);
  document.dispatchEvent(new CustomEvent("live:taken", { detail: { rows, by } }));
  return true;
}

// --- what was done at the bench ---

async function takeProgress() {
  const edits = begun;
  const anew = await lookAnew();
  if (begun !== edits) return false;
  if (anew) await takeInParts(anew, showsWork() ? "" : STAGES);
  return true;
}

function writing() {
  underWay += 1;
  begun += 1;
}

function written() {
  underWay = Math.max(0, underWay - 1);
  const wrote = document.getElementById("design-state")?.dataset.wrote ?? "";
  for (const id of wrote.split(" ").filter(Boolean)) own.add(id);
}

function begin() {
  state.tab = tabKey();
  document.addEventListener("htmx:before:request", (event) => {
    if (event.detail.ctx.request.method !== "GET") writing();
  });
  document.addEventListener("htmx:finally:request", (event) => {
    if (event.detail.ctx.request.method !== "GET") written();
  });
  document.addEventListener("live:writing", writing);
  document.addEventListener("live:written", written);
  document.addEventListener("submit", (event) => {
    if (!event.defaultPrevented && !event.target.matches("[data-hx-post], [data-hx-get], dialog form")) {
      leavingUntil = Date.now() + 10_000;
    }
  });
  const look = keepAsking({
    address,
    take,
    every: () => (state.others ? WITH_OTHERS_MS : EVERY_MS),
    away: () => say(["Loomwright cannot be reached: what others do is not seen here until it can."]),
    back: () => say(["Loomwright can be reached again."]),
  });
  document.addEventListener("live:look", look);
  place.querySelector("[data-live-close]").addEventListener("click", () => {
    place.querySelector(".live-said").replaceChildren();
    settle();
  });
  look();
}

if (place) begin();
