// Ticks are kept on this device until the server has said that it has them.
// A tick is written to IndexedDB (strict durability) before it is shown, sent in batches, and
// deleted only when its key comes back:
//   POST url  {"ticks": [{"key", "step_uid", "state", "person_id", "note", "client_at", "seen", …}]}
//   2xx       {"saved": ["key", …], "refused": [{"key", "why"}], "told": [{"key", "words"}],
//              "kept": ["key", …], "last"}      kept: not taken while somebody else is logged in
// No answer, 408, 425, 429, 401 and 5xx: kept, sent again with growing pauses. Any other 4xx: the
// batch is sent one by one, and what is refused is shown until somebody takes it away.
// The same key twice is one entry, so sending again is always safe. Only what browsers give on
// plain http is used: IndexedDB, getRandomValues, fetch.
const DATABASE = "loomwright-outbox";
const STORE = "ticks";
const DEVICE = "loomwright-device";
const BATCH = 40;
const TIMEOUT_MS = 15_000;
const FIRST_PAUSE_MS = 1_000;
const LONGEST_PAUSE_MS = 30_000;
// Sent again all the while, but more than a network has to come back.
const HELD = new Set(["locked", "theirs"]);
const SEND_AGAIN = new Set([401, 408, 425, 429]);

const settled = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const finished = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("The device did not keep it"));
  });

async function openDatabase() {
  const opening = indexedDB.open(DATABASE, 1);
  opening.onupgradeneeded = () => {
    const store = opening.result.createObjectStore(STORE, { keyPath: "seq", autoIncrement: true });
    store.createIndex("key", "key", { unique: true });
  };
  return settled(opening);
}

const random = (bytes) =>
  Array.from(crypto.getRandomValues(new Uint8Array(bytes)), (byte) => byte.toString(16).padStart(2, "0")).join("");

/** What all keys of this device begin with, so that the server knows its own ticks again. */
function device() {
  try {
    const known = localStorage.getItem(DEVICE);
    if (/^[0-9a-f]{12}$/.test(known ?? "")) return known;
    const made = random(6);
    localStorage.setItem(DEVICE, made);
    return made;
  } catch {
    return random(6);
  }
}

const ours = device();

export const tickKey = () => `${ours}-${random(12)}`;

export const isOurs = (key) => key.startsWith(`${ours}-`);

export class Outbox extends EventTarget {
  /** Kept ticks in the order made: {seq, key, url, unit, label, tick, why?}; `why`: refused. */
  records = [];
  /** "saved", "sending", "waiting" (a sending failed and will be tried again), "locked" (this device
      is no longer let in), or "theirs" (somebody else than who ticked is logged in). */
  state = "saved";
  #database = null;
  #timer = 0;
  #pause_ms = FIRST_PAUSE_MS;
  #batch = BATCH;
  #running = false;

  async open() {
    this.#database = await openDatabase();
    await this.#load();
    this.send();
    window.addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => document.hidden || this.send());
    return this;
  }

  get pending() {
    return this.records.filter((record) => !record.why);
  }

  get refused() {
    return this.records.filter((record) => record.why);
  }

  /** Keeps ticks {url, unit, label, tick}; when this returns they are on the device's disk. */
  async add(entries) {
    await this.#write((store) => entries.forEach((entry) => store.add({ key: entry.tick.key, ...entry })));
    this.send();
  }

  /** Takes away a refused tick that somebody has read. */
  async takeAway(key) {
    await this.#drop(new Set([key]));
    this.#tell();
  }

  /** Sends what is kept, now. */
  async send() {
    if (this.#running || !this.#database) return;
    this.#running = true;
    clearTimeout(this.#timer);
    // An address whose ticks cannot be taken now does not hold up the others.
    const stuck = new Set();
    try {
      await this.#load();
      let next;
      while ((next = this.pending.find(({ url }) => !stuck.has(url)))) {
        if (this.state === "saved") this.state = "sending";
        this.#tell();
        const came = await this.#sendBatch(next.url);
        if (came === "away") break;
        if (came === "stuck") stuck.add(next.url);
        else this.#pause_ms = FIRST_PAUSE_MS;
        await this.#load();
      }
      if (this.pending.length) this.#later();
      else {
        this.#batch = BATCH;
        this.state = "saved";
      }
    } catch {
      this.#later();
    } finally {
      this.#running = false;
      this.#tell();
    }
  }

  #later() {
    if (!HELD.has(this.state)) this.state = "waiting";
    this.#timer = setTimeout(() => this.send(), this.#pause_ms * (0.8 + 0.4 * Math.random()));
    this.#pause_ms = Math.min(this.#pause_ms * 2, LONGEST_PAUSE_MS);
  }

  // "fewer": the kept ticks became fewer. "stuck": this address does not take them now. "away":
  // the server does not answer, or does not let this device in.
  async #sendBatch(url) {
    const batch = this.pending.filter((record) => record.url === url).slice(0, this.#batch);
    let response;
    let reply;
    try {
      response = await fetch(url, {
        method: "POST",
        headers: { "Content-Type": "application/json", Accept: "application/json" },
        body: JSON.stringify({ ticks: batch.map((record) => record.tick) }),
        redirect: "error",
        signal: AbortSignal.timeout(TIMEOUT_MS),
      });
      reply = await response.json().catch(() => null);
    } catch {
      this.state = "waiting";
      return "away";
    }
    this.state = response.status === 401 ? "locked" : response.ok ? "sending" : "waiting";
    if (response.ok && reply) return (await this.#settle(batch, reply)) ? "fewer" : "stuck";
    if (response.status === 401) return "away";
    if (response.ok || response.status >= 500 || SEND_AGAIN.has(response.status)) return "stuck";
    if (batch.length > 1) {
      this.#batch = 1;
      return "fewer";
    }
    const why = typeof reply?.why === "string" ? reply.why : `The server answered ${response.status}.`;
    await this.#mark(new Map([[batch[0].key, why]]));
    this.#announce(batch, { refused: [batch[0].key] });
    return "fewer";
  }

  async #settle(batch, reply) {
    const sent = new Set(batch.map((record) => record.key));
    const saved = new Set((reply.saved ?? []).filter((key) => sent.has(key)));
    const refused = new Map(
      (reply.refused ?? []).filter(({ key }) => sent.has(key)).map(({ key, why }) => [key, why || "Refused."]),
    );
    await this.#drop(saved);
    await this.#mark(refused);
    this.#announce(batch, { ...reply, saved: [...saved], refused: [...refused.keys()] });
    const fewer = saved.size + refused.size > 0;
    if (!fewer && reply.kept?.length) this.state = "theirs";
    return fewer;
  }

  // settled: what of a batch the server has, did not take, and has to say of.
  #announce(batch, { saved = [], refused = [], told = [], last = 0 }) {
    this.dispatchEvent(new CustomEvent("settled", { detail: { batch, saved, refused, told, last } }));
  }

  async #load() {
    const store = this.#database.transaction(STORE).objectStore(STORE);
    this.records = await settled(store.getAll());
  }

  async #write(change) {
    const transaction = this.#database.transaction(STORE, "readwrite", { durability: "strict" });
    change(transaction.objectStore(STORE));
    await finished(transaction);
    await this.#load();
  }

  async #drop(keys) {
    const gone = this.records.filter((record) => keys.has(record.key));
    if (gone.length) await this.#write((store) => gone.forEach((record) => store.delete(record.seq)));
  }

  async #mark(whys) {
    const marked = this.records.filter((record) => whys.has(record.key));
    if (!marked.length) return;
    await this.#write((store) =>
      marked.forEach((record) => store.put({ ...record, why: whys.get(record.key) })),
    );
  }

  #tell() {
    this.dispatchEvent(new Event("change"));
  }
}
