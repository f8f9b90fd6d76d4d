// Several people in one design (templates/loom/_live.html, pages/live.py).
// While the page is seen it asks every second what is new. What others did is taken in without a
// word of what is being typed: tables whose cells are edited in place by live_tables.js, forms of
// rows by live_entry.js; any other page of the loom says so and offers to show itself anew.
//   document event "live:taken"    detail.rows: the rows that were put in place of others
//   document event "live:look"     ask at once (after a paste)
//   document events "live:writing", "live:written"   an own request that htmx does not send
import { freshKey } from "./once.js";
import { takeInRows } from "./live_tables.js";
import { takeInForm } from "./live_entry.js";

const EVERY_MS = 1000;
const WITH_OTHERS_MS = 600;
const AFTER_FAILURE_MS = 4000;
const SAID_FOR_MS = 20_000;
const MOST_SAID = 5;
const SHOWS_ITSELF = /^(plan|cables|price|parts|proposal|alternatives)$/;

const place = document.getElementById("live");
const state = { mark: place?.dataset.mark, others: "", failures: 0, asking: false };
const own = new Set(); // commands that this page's own requests wrote
let underWay = 0; // own requests without an answer yet
let begun = 0; // how many there have been
let timer = 0;
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

const pageName = () => /^\/looms\/\d+\/([a-z-]+)/.exec(location.pathname)?.[1] ?? "loom";

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

async function look() {
  clearTimeout(timer);
  if (document.hidden || state.asking) return;
  state.asking = true;
  try {
    const asked = new URLSearchParams({ tab: state.tab, mark: state.mark, page: pageName(), others: state.others });
    const answer = await fetch(`/looms/${place.dataset.live}/live?${asked}`, {
      headers: { Accept: "application/json" },
      signal: AbortSignal.timeout(10_000),
    });
    if (!answer.ok) throw new Error(String(answer.status));
    if (state.failures > 1) say(["Loomwright can be reached again."]);
    state.failures = 0;
    if (answer.status === 200) await take(await answer.json());
  } catch {
    state.failures += 1;
    if (state.failures === 2) {
      say(["Loomwright cannot be reached: what others change is not seen here until it can."]);
    }
  } finally {
    state.asking = false;
    if (!document.hidden) timer = setTimeout(look, state.failures ? AFTER_FAILURE_MS : state.others ? WITH_OTHERS_MS : EVERY_MS);
  }
}

async function take(news) {
  state.others = news.others;
  showHere(news.here);
  if (news.mark === state.mark) return;
  // The answer to an own edit shows what it did, and may not have come yet.
  if (underWay || Date.now() < leavingUntil) return;
  const theirs = news.done.filter((each) => !own.has(String(each.id)));
  if (news.done.length && !theirs.length && !news.signedOff) {
    state.mark = news.mark;
    return;
  }
  const sentences = theirs.slice(-MOST_SAID).map((each) => each.words);
  if (news.signedOff) sentences.push(news.signedOff);
  const by = [...new Set(theirs.map((each) => each.by))].join(" and ") || "Somebody";
  const taken = await takeIn(by);
  if (taken === null) return;
  if (taken) say(sentences);
  if (!underWay) state.mark = news.mark;
}

// What to ask for: this page as it is filtered now.
function address() {
  const here = new URL(location.href);
  const find = document.getElementById("find");
  if (find?.name) here.searchParams.set(find.name, find.value);
  here.hash = "";
  return here;
}

async function takeIn(by) {
  const form = document.querySelector("form.entry-page[data-live-form]");
  const cells = document.querySelector("main [data-cell]");
  if (!form && !cells) {
    if (SHOWS_ITSELF.test(pageName()) || document.querySelector("main form [name]")) offerAnew(by);
    else location.reload();
    return false;
  }
  const edits = begun;
  const answer = await fetch(address(), {
    headers: { "Live-Look": "1" },
    signal: AbortSignal.timeout(20_000),
  });
  if (answer.status === 404) {
    offerAnew(by);
    return false;
  }
  if (!answer.ok) throw new Error(String(answer.status));
  const anew = new DOMParser().parseFromString(await answer.text(), "text/html");
  // An own edit that began meanwhile is newer than what was asked for, even where its answer has
  // come already: look again.
  if (begun !== edits || document.querySelector(".cell.sending")) return null;
  const rows = form ? takeInForm(form, anew, by) : await takeInRows(anew, by);
  takeInParts(anew);
  document.dispatchEvent(new CustomEvent("live:taken", { detail: { rows, by } }));
  return true;
}

// What stands beside the table or form: findings, the plan, lists of suggestions, undo.
function takeInParts(anew) {
  for (const part of document.querySelectorAll("main [data-live-part], main .heading, #design-state, main datalist[id]")) {
    const key = part.dataset.livePart;
    const now = key
      ? anew.querySelector(`[data-live-part="${CSS.escape(key)}"]`)
      : part.id
        ? anew.getElementById(part.id)
        : anew.querySelector("main .heading");
    if (!now || now.outerHTML === part.outerHTML || part.contains(document.activeElement)) continue;
    const put = document.importNode(now, true);
    part.replaceWith(put);
    window.htmx?.process(put);
  }
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
  document.addEventListener("visibilitychange", look);
  document.addEventListener("live:look", look);
  place.querySelector("[data-live-close]").addEventListener("click", () => {
    place.querySelector(".live-said").replaceChildren();
    settle();
  });
  window.addEventListener("pageshow", (event) => {
    // From the browser's history the page is as old as it was left.
    if (event.persisted) look();
  });
  look();
}

if (place) begin();
