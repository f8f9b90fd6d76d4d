// Asks the server each second what is new of the loom's bench; nothing new costs it next to nothing.
import { heard } from "../let_in.js";

const EVERY_MS = 1_000;
const LONGEST_MS = 10_000;
const TIMEOUT_MS = 8_000;

export class Feed {
  #address;
  #news;
  #back;
  #timer = 0;
  #pause_ms = EVERY_MS;
  #asking = false;
  #again = false;

  /** `address` gives what to ask for; `news` takes what came; `back` hears that the server answers
      again after it did not. */
  constructor(address, news, back) {
    this.#address = address;
    this.#news = news;
    this.#back = back;
    document.addEventListener("visibilitychange", () => document.hidden || this.ask());
    window.addEventListener("online", () => this.ask());
    this.ask();
  }

  /** Asks now; asked while asking, once more after. */
  async ask() {
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    clearTimeout(this.#timer);
    try {
      const response = await fetch(this.#address(), {
        headers: { Accept: "application/json" },
        signal: AbortSignal.timeout(TIMEOUT_MS),
      });
      heard(response.status);
      if (response.ok && this.#pause_ms > EVERY_MS) this.#back();
      this.#pause_ms = response.ok ? EVERY_MS : Math.min(this.#pause_ms * 2, LONGEST_MS);
      if (response.status === 200) this.#news(await response.json());
    } catch {
      this.#pause_ms = Math.min(this.#pause_ms * 2, LONGEST_MS);
    }
    this.#asking = false;
    const soon = this.#again ? 0 : document.hidden ? LONGEST_MS : this.#pause_ms;
    this.#again = false;
    this.#timer = setTimeout(() => this.ask(), soon);
  }
}
