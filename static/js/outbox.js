// Ticks are kept on this device until the server has said that it has them.
// A tick is written to IndexedDB (strict durability) before it is shown, sent in batches, and
// deleted only when its key comes back:
//   POST url  {"ticks": [{"key", "step_uid", "state": "done|undone|held", "person_id", "note",
//                         "client_at"}]}
//   2xx       {"saved": ["key", …], "refused": [{"key": "…", "why": "…"}]}
// No answer, 408, 425, 429, 401 and 5xx: kept, sent again with growing pauses. Any other 4xx: the
// batch is sent one by one, and what is refused is shown until somebody takes it away.
// The same key twice is one entry, so sending again is always safe.
const DATABASE = "loomwright-outbox";
const STORE = "ticks";
const BATCH = 40;
const TIMEOUT_MS = 15_000;
const FIRST_PAUSE_MS = 1_000;
const LONGEST_PAUSE_MS = 30_000;
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

export class Outbox extends EventTarget {
  /** Kept ticks in the order made: {seq, key, url, label, tick, why?}; `why` marks a refused one. */
  records = [];
  /** "saved", "sending", or "waiting" (a sending failed and will be tried again). */
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
    return this;
  }

  get pending() {
    return this.records.filter((record) => !record.why);
  }

  get refused() {
    return this.records.filter((record) => record.why);
  }

  /** Keeps one tick, under a name for people; when this returns it is on the device's disk. */
  async add(url, label, tick) {
    await this.#write((store) => store.add({ key: tick.key, url, label, tick }));
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
    try {
      await this.#load();
      while (this.pending.length) {
        if (this.state === "saved") this.state = "sending";
        this.#tell();
        if (!(await this.#sendBatch())) {
          this.#later();
          return;
        }
        this.#pause_ms = FIRST_PAUSE_MS;
        await this.#load();
      }
      this.#batch = BATCH;
      this.state = "saved";
    } finally {
      this.#running = false;
      this.#tell();
    }
  }

  #later() {
    this.state = "waiting";
    this.#timer = setTimeout(() => this.send(), this.#pause_ms * (0.8 + 0.4 * Math.random()));
    this.#pause_ms = Math.min(this.#pause_ms * 2, LONGEST_PAUSE_MS);
  }

  // True when the kept ticks became fewer, so that the next batch may follow at once.
  async #sendBatch() {
    const url = this.pending[0].url;
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
      return false;
    }
    if (response.ok && reply) return this.#settle(batch, reply);
    if (response.ok || response.status >= 500 || SEND_AGAIN.has(response.status)) return false;
    if (batch.length > 1) {
      this.#batch = 1;
      return true;
    }
    const why = typeof reply?.why === "string" ? reply.why : `The server answered ${response.status}.`;
    await this.#mark(new Map([[batch[0].key, why]]));
    this.dispatchEvent(new Event("settled"));
    return true;
  }

  async #settle(batch, reply) {
    const ours = new Set(batch.map((record) => record.key));
    const saved = new Set((reply.saved ?? []).filter((key) => ours.has(key)));
    const refused = new Map(
      (reply.refused ?? []).filter(({ key }) => ours.has(key)).map(({ key, why }) => [key, why || "Refused."]),
    );
    await this.#drop(saved);
    await this.#mark(refused);
    this.dispatchEvent(new Event("settled"));
    return saved.size + refused.size > 0;
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
