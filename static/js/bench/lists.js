// A page holds the work list of its units as they were: their revision, depth and stage. Where one of
// these changes, the page is made anew, once everything that is kept here has its answer and nobody
// is typing; and says why.
const SAID = "loomwright-list-anew";
const TAB = "loomwright-tab";
const AGAIN_MS = 500;
const WHAT = ["goes by another revision", "is ticked in another depth", "is at another stage"];

/** What the server knows this tab by; the same from page to page, so that nobody seems to be at two. */
export function tabOf(bench) {
  try {
    if (!sessionStorage.getItem(TAB)) sessionStorage.setItem(TAB, bench.dataset.tab);
    return sessionStorage.getItem(TAB);
  } catch {
    return bench.dataset.tab;
  }
}

function take(place) {
  try {
    const kept = JSON.parse(sessionStorage.getItem(place) ?? "[]");
    sessionStorage.removeItem(place);
    return kept;
  } catch {
    return [];
  }
}

export class Lists {
  /** What the page before this one had to say. */
  said = take(SAID);
  #bench;
  #busy;
  #own;
  #timer = 0;

  /** `busy()`: something is kept here that the server has not answered. */
  constructor(bench, busy) {
    this.#bench = bench;
    this.#busy = busy;
    this.#own = JSON.parse(bench.dataset.lists ?? "{}");
  }

  /** {unit: "revision depth stage"} as it is now. */
  take(lists) {
    const words = Object.entries(this.#own).flatMap(([unit, own]) => this.#changed(unit, own, lists[unit] ?? own));
    clearTimeout(this.#timer);
    if (words.length) this.#renew(words);
  }

  #changed(unit, own, now) {
    const [before, after] = [own.split(" "), now.split(" ")];
    const what = WHAT.filter((_, place) => before[place] !== after[place]);
    return what.length ? [`${this.#name(unit)} ${what.join(" and ")} now: this list was made anew.`] : [];
  }

  #name(unit) {
    const name = this.#bench.querySelector(`[data-unit="${unit}"][data-name]`)?.dataset.name ?? "this unit";
    return name[0].toUpperCase() + name.slice(1);
  }

  #renew(words) {
    if (this.#busy() || this.#bench.querySelector("dialog[open]")) {
      this.#timer = setTimeout(() => this.#renew(words), AGAIN_MS);
      return;
    }
    try {
      sessionStorage.setItem(SAID, JSON.stringify(words));
    } catch {
      // Made anew all the same; only why is not said.
    }
    location.reload();
  }
}
