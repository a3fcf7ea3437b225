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
  }

  /** Whether what is kept survives this page. */
  get lasting() {
    return this.#database !== null;
  }

  /** Keeps new events of a session; resolves once they are safe. */
  add(session, events, state = "waiting") {
    return this.#write((place) => {
      for (const event of events) place.put({ id: event.id, session, event, state, why: "" });
    });
  }

  /** Events that came from the server, or that it has taken. Those known here already keep nothing back any more. */
  async settle(session, events) {
    if (events.length) await this.add(session, events, "there");
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
    if (!this.#database) {
      return [...this.#memory.events.values()].filter((each) => session === null || each.session === session);
    }
    const place = this.#database.transaction("events").objectStore("events");
    return answered(session === null ? place.getAll() : place.index("session").getAll(session));
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

  #write(change, name = "events") {
    if (!this.#database) {
      change(inMemory(this.#memory[name]));
      return Promise.resolve();
    }
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
