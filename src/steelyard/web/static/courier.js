// Carries events to the server, each until it is there, and brings back what others did. navigator.onLine says nothing
// of a server in the next room, so it simply tries again, by the clock.

const RETRY_MS = 2500;
const ASK_MS = 2000;
const ANSWER_MS = 8000;
const MOST_AT_ONCE = 40;

const HEADERS = { Accept: "application/json", "Content-Type": "application/json" };

/** What waits to be sent of a session, in the order in which it happened. */
async function waiting(store, session) {
  const waits = (await store.all(session)).filter((entry) => entry.state === "waiting");
  return waits.sort((one, other) => (one.event.at < other.event.at ? -1 : 1));
}

const posted = (waits) => ({ method: "POST", body: JSON.stringify({ events: waits.map((entry) => entry.event) }) });

/** What was answered to what was sent; null if nothing was, or nothing that makes sense. */
async function delivered(address, waits) {
  try {
    const answer = await fetch(address, { ...posted(waits), headers: HEADERS });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

/** Delivers what sessions that are not open any more left here; what does not get through waits for the next time. */
export async function deliverLeft(store, open = "") {
  const entries = (await store.all()).filter((entry) => entry.state === "waiting" && entry.session !== open);
  for (const session of new Set(entries.map((entry) => entry.session))) {
    const waits = (await waiting(store, session)).slice(0, MOST_AT_ONCE);
    const answer = await delivered(`/session/${session}/events`, waits);
    if (!answer) continue;
    const { refused, events } = answer;
    for (const { id, why } of refused) await store.refuse(id, why);
    await store.settle(session, events);
  }
}

/**
 * Dispatches "state" with what the server answered ({screen, around, events, have, refused}), "same" where nothing was
 * new ({now, around}, its time in seconds), and "link" whenever `away` or `waiting` changed. away: epoch of the first
 * unanswered try in milliseconds; 0 while the server answers.
 */
export class Courier extends EventTarget {
  #address;
  #session;
  #store;
  #busy = false;
  #again = false;
  #seen = "";
  #around = "";
  away = 0;
  waiting = 0;
  trouble = "";

  constructor(address, session, store) {
    super();
    this.#address = address;
    this.#session = session;
    this.#store = store;
  }

  /** Goes to and fro from now on. seen: fingerprint of what the page shows, or empty; around: of what else decides for it. */
  start(seen, around) {
    this.#seen = seen;
    this.#around = around;
    setInterval(() => document.hidden || this.go(), ASK_MS);
    document.addEventListener("visibilitychange", () => document.hidden || this.go());
    addEventListener("online", () => this.go());
    this.go();
  }

  /** So many more wait: known at once, before they are counted in the store. */
  expect(more) {
    this.#tell(this.away, this.waiting + more, this.trouble);
  }

  /** Delivers what waits, or asks whether anything is new. Called while it is under way, it goes once more. */
  async go() {
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#busy = true;
    try {
      do {
        this.#again = false;
        const waits = await this.#waits();
        const answer = waits.length ? await this.#deliver(waits) : await this.#ask();
        if (answer && waits.length) this.#again = (await this.#waits()).length > 0;
      } while (this.#again && !this.away);
    } finally {
      this.#busy = false;
      if (this.away) setTimeout(() => this.go(), RETRY_MS);
    }
  }

  async #waits() {
    const waits = await waiting(this.#store, this.#session);
    this.#tell(this.away, waits.length, this.trouble);
    return waits.slice(0, MOST_AT_ONCE);
  }

  async #deliver(waits) {
    const answer = await this.#fetch(`${this.#address}/events`, posted(waits));
    if (!answer) return null;
    for (const { id, why } of answer.refused) await this.#store.refuse(id, why);
    await this.#store.part(this.#session, waits.map((entry) => entry.event), answer);
    return this.#heard(answer);
  }

  async #ask() {
    const answer = await this.#fetch(`${this.#address}/state?seen=${this.#seen}&around=${this.#around}`);
    return answer ? this.#heard(answer) : answer;
  }

  async #heard(answer) {
    if (answer.screen) {
      this.#seen = answer.screen.seen;
      this.#around = answer.around;
      await this.#store.settle(this.#session, answer.events);
      this.dispatchEvent(new CustomEvent("state", { detail: answer }));
    } else this.dispatchEvent(new CustomEvent("same", { detail: { now: answer.now, around: this.#around } }));
    return answer;
  }

  /** The answer as an object, its time alone if nothing is new; null if none came, or none that makes sense. */
  async #fetch(address, asked = {}) {
    const patience = new AbortController();
    const timer = setTimeout(() => patience.abort(), ANSWER_MS);
    try {
      const response = await fetch(address, { ...asked, headers: HEADERS, signal: patience.signal, cache: "no-store" });
      if (response.status === 204) return this.#answered({ now: Number(response.headers.get("Steelyard-Now")) });
      const answer = await response.json();
      if (response.ok) return this.#answered(answer);
      return this.#unheard(response.status < 500 ? answer.error.message : "");
    } catch {
      return this.#unheard("");
    } finally {
      clearTimeout(timer);
    }
  }

  #answered(answer) {
    this.#tell(0, this.waiting, "");
    return answer;
  }

  #unheard(trouble) {
    this.#tell(this.away || Date.now(), this.waiting, trouble);
    return null;
  }

  #tell(away, waiting, trouble) {
    if (away === this.away && waiting === this.waiting && trouble === this.trouble) return;
    Object.assign(this, { away, waiting, trouble });
    this.dispatchEvent(new Event("link"));
  }
}
