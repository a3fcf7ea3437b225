// What this device knows, kept by the browser itself: events of the sessions seen here, and the last screen of each.
//
// An event stays "waiting" until the server has said that it is on disk. A write counts once its transaction is
// complete, asked for with strict durability, so that what is called kept survives the page, the browser and the battery.

const NAME = "steelyard";
const VERSION = 1;

/** Opens the store; without one (some private windows) what is kept lasts as long as the page. */
export async function openStore() {
  try {
    return new Store(await opened());
  } catch {
    return new Store(null);
  }
}

function opened() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("events", { keyPath: "id" }).createIndex("session", "session");
      request.result.createObjectStore("kept");
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = request.onblocked = () => reject(request.error);
  });
}

class Store {
  #database;
  #memory = { events: new Map(), kept: new Map() };

  constructor(database) {
    this.#database = database;
    this.lasting = database !== null;
  }

  /** Whether what is kept survives this page. */
  lasting = true;

  /** Keeps new events of a session; resolves once they are safe. */
  async add(session, events, state = "waiting") {
    if (events.length) return this.#write((place) => {
      for (const event of events) place.put({ id: event.id, session, event, state, why: "" });
    });
  }

  /** All events of a session that the server has. One that it had before and has no more is sent to it again. */
  async settle(session, events) {
    const there = new Set(events.map((event) => event.id));
    const lost = (await this.all(session)).filter((entry) => entry.state === "there" && !there.has(entry.id));
    await this.add(session, events, "there");
    if (lost.length) await this.add(session, lost.map((entry) => entry.event));
  }

  /** What the server has, but not as part of this session: another's, that was joined with it for a while. */
  async part(session, sent, { have, events }) {
    const here = new Set(events.map((event) => event.id));
    const others = sent.filter((event) => have.includes(event.id) && !here.has(event.id));
    if (others.length) await this.add(session, others, "elsewhere");
  }

  /** The server will never take this event: it stays here, with the reason, and counts no more. */
  async refuse(id, why) {
    const entry = (await this.all()).find((each) => each.id === id);
    if (entry) await this.#write((place) => place.put({ ...entry, state: "refused", why }));
  }

  /** Puts a refused event away for good. */
  forget(id) {
    return this.#write((place) => place.delete(id));
  }

  /** Every entry of a session, or of all: {id, session, event, state, why}. */
  async all(session = null) {
    const here = [...this.#memory.events.values()].filter((each) => session === null || each.session === session);
    if (!this.#database) return here;
    const place = this.#database.transaction("events").objectStore("events");
    const lasting = await answered(session === null ? place.getAll() : place.index("session").getAll(session));
    return [...lasting.filter((each) => !this.#memory.events.has(each.id)), ...here];
  }

  /** Lets go of what the server has had for so long, but for one session's. [ms] */
  async tidy(session, after_ms) {
    const before = new Date(Date.now() - after_ms).toISOString();
    const old = (await this.all()).filter((entry) => entry.state === "there" && entry.session !== session && entry.event.at < before);
    if (!old.length) return;
    await this.#write((place) => old.forEach((entry) => place.delete(entry.id)));
    await this.#write((place) => old.forEach((entry) => place.delete(`screen ${entry.session}`)), "kept");
  }

  /** Something small to find again, such as a session's last screen. */
  keep(name, value) {
    return this.#write((place) => place.put(value, name), "kept");
  }

  /** What was kept under a name; undefined if nothing was. */
  async kept(name) {
    if (!this.#database) return this.#memory.kept.get(name);
    return answered(this.#database.transaction("kept").objectStore("kept").get(name));
  }

  /** Changes a store; what there is no room for on the disk is held in memory, and `lasting` says so. */
  async #write(change, name = "events") {
    try {
      if (this.#database) return await this.#written(change, name);
    } catch {
      this.lasting = false;
    }
    return change(inMemory(this.#memory[name]));
  }

  #written(change, name) {
    return new Promise((resolve, reject) => {
      const transaction = this.#database.transaction(name, "readwrite", { durability: "strict" });
      transaction.oncomplete = () => resolve();
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
      change(transaction.objectStore(name));
    });
  }
}

const answered = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const inMemory = (map) => ({
  put: (value, key) => map.set(key ?? value.id, value),
  delete: (key) => map.delete(key),
});
