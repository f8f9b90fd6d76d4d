// Turns from one panel of the work list to another without the network: the page holds them all,
// the one in view inside #bench-part, the others in <template data-end>.
//   arrows left and right turn; arrows up and down move among the steps.
export const inView = () => document.getElementById("bench-part");

/** What a unit is called in a batch. */
export const unitName = (bench, unit) =>
  bench.querySelector(`[data-unit="${unit}"][data-name]`)?.dataset.name ?? `unit ${unit}`;

/** Every panel's content, also of those out of view: for what the page knows of its steps. */
export function* allPanels() {
  yield inView();
  for (const template of document.querySelectorAll("template[data-end]")) {
    yield template.content.querySelector("#bench-part");
  }
}

export class Panels {
  #bench;
  #kept = new Map();
  #shown;

  /** `shown` is called with a panel that has just come into view. */
  constructor(bench, shown) {
    this.#bench = bench;
    this.#shown = shown;
    for (const template of document.querySelectorAll("template[data-end]")) {
      this.#kept.set(template.dataset.end, () => template.content.querySelector("#bench-part").cloneNode(true));
    }
    this.key = inView().dataset.key;
    document.addEventListener("click", (event) => this.#click(event));
    document.addEventListener("keydown", (event) => this.#key(event));
  }

  /** The server's own drawing of the panel in view. One that was left meanwhile is kept. */
  get address() {
    const address = new URL(location.href);
    address.searchParams.set("at", this.key);
    return address.pathname + address.search;
  }

  /** After a swap: the panel that is wanted stands in view, and what came for another is kept. */
  settle() {
    const part = inView();
    if (part.dataset.key !== this.key && this.#kept.has(this.key)) this.show(this.key);
  }

  show(key) {
    const make = this.#kept.get(key);
    if (!make) return false;
    const before = inView();
    this.#kept.set(before.dataset.key, () => before);
    const part = make();
    before.replaceWith(part);
    this.key = key;
    history.replaceState(null, "", this.address);
    // The panel's name may have a dash of its own, as a run's has; serial and program stand last.
    document.title = [part.dataset.name, ...document.title.split(" – ").slice(-2)].join(" – ");
    const next = document.querySelector(".who [name=next]");
    if (next) next.value = this.address;
    this.#shown(part);
    window.scrollTo(0, 0);
    return true;
  }

  #click(event) {
    const link = event.target.closest("a[data-turn]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (link.dataset.turn === this.key || this.show(link.dataset.turn)) {
      event.preventDefault();
      link.closest("details[open]")?.removeAttribute("open");
    }
  }

  #key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey || document.querySelector("dialog[open]")) return;
    if (event.target.closest("input, select, textarea, summary")) return;
    const turn = { ArrowRight: "a[data-turn][data-on]", ArrowLeft: "a[data-turn][data-back]" }[event.key];
    if (turn) document.querySelector(turn)?.click();
    const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (!by) return;
    const buttons = [...inView().querySelectorAll("[data-step]")];
    const at = buttons.indexOf(document.activeElement);
    const first = buttons.findIndex((one) => one.classList.contains("now"));
    const to = at < 0 ? Math.max(first, 0) : Math.min(Math.max(at + by, 0), buttons.length - 1);
    buttons[to]?.focus();
    event.preventDefault();
  }
}
