// The page's side of the engine: the same Python that decides on the server, in a worker of this page.
//
//   const engine = new Engine({ pyodide, package: address });   // starts nothing yet
//   await engine.start(session);                                // what it was opened with; null if it failed
//   await engine.screen(events);                                // the screen; null if a newer one was asked for
//   await engine.foresee(events, [{ key, events }], onOutcome); // screens of what may come, likeliest first
//
// The worker does one thing at a time. A screen goes before everything that is only foreseen, and what is foreseen
// for events that are no longer the latest is dropped.

const OPEN = 0;
const SCREEN = 1;
const FORESEEN = 2;

export class Engine {
  failed = "";
  refused = "";
  #urls;
  #worker = null;
  #waiting = [];
  #busy = null;
  #count = 0;

  constructor(urls) {
    this.#urls = urls;
  }

  // Open a session: the address that tells of it, or what that answered with. Again: opened anew, without booting.
  async start(session) {
    if (!this.#worker) {
      this.#begin();
    }
    this.#drop((job) => job.rank === OPEN);
    let opened = null;
    const answer = await this.#ask(OPEN, async () => {
      opened = typeof session === "string" ? await fetched(session) : session;
      return { open: opened };
    });
    if (answer?.refused) {
      this.#fail(answer.refused);
    }
    return answer?.sessions ? opened : null;
  }

  // The screen that follows from these events, all there are of the sessions shown.
  async screen(events, { sessions = [], now = null } = {}) {
    this.#drop((job) => job.rank === SCREEN);
    const answer = await this.#ask(SCREEN, () => ({ events, sessions, now }));
    this.refused = answer?.refused ?? "";
    return answer?.screen ?? null;
  }

  // The screens once further events have happened: onOutcome(key, screen) for each of ahead, in its order. Resolves
  // to whether all were worked out.
  async foresee(events, ahead, onOutcome, { sessions = [], now = null } = {}) {
    this.#drop((job) => job.rank === FORESEEN);
    const outcomes = ahead.map(async ({ key, events: further, now: then = now }) => {
      const answer = await this.#ask(FORESEEN, () => ({ events: [...events, ...further], sessions, now: then }));
      if (answer?.screen) {
        onOutcome(key, answer.screen);
      }
      return answer !== null;
    });
    return (await Promise.all(outcomes)).every(Boolean);
  }

  // What ends the sessions in so many minutes, as offers; null if that can't be said.
  async wish(events, minutes) {
    const answer = await this.#ask(SCREEN, () => ({ events, minutes }));
    return answer?.wish ?? null;
  }

  // End the worker and all that waits for it.
  stop() {
    this.#worker?.terminate();
    this.#worker = null;
    this.#dropAll();
  }

  #begin() {
    this.#worker = new Worker(new URL("worker.js", import.meta.url), { type: "module" });
    this.#worker.onmessage = ({ data }) => this.#take(data);
    this.#worker.onerror = (event) => this.#fail(event.message || "the engine's script could not be read");
    this.#busy = { settle: () => {} }; // booting
    this.#worker.postMessage({ boot: this.#urls });
  }

  #ask(rank, question) {
    if (this.failed) {
      return Promise.resolve(null);
    }
    return new Promise((settle) => {
      this.#waiting.push({ id: ++this.#count, rank, question, settle });
      this.#next();
    });
  }

  async #next() {
    if (this.#busy || !this.#waiting.length) {
      return;
    }
    const first = this.#waiting.reduce((best, job) => (job.rank < best.rank ? job : best));
    this.#waiting.splice(this.#waiting.indexOf(first), 1);
    this.#busy = first;
    try {
      const question = JSON.stringify(await first.question());
      this.#worker?.postMessage({ id: first.id, question });
    } catch (problem) {
      this.#fail(String(problem?.message ?? problem));
    }
  }

  #take(data) {
    if (data.failed) {
      this.#fail(data.failed);
      return;
    }
    const done = this.#busy;
    this.#busy = null;
    done?.settle(data.answer ? JSON.parse(data.answer) : null);
    this.#next();
  }

  #drop(stale) {
    const dropped = this.#waiting.filter(stale);
    this.#waiting = this.#waiting.filter((job) => !stale(job));
    dropped.forEach((job) => job.settle(null));
  }

  #dropAll() {
    const busy = this.#busy;
    this.#busy = null;
    busy?.settle(null);
    this.#drop(() => true);
  }

  #fail(reason) {
    this.failed = reason;
    this.stop();
  }
}

async function fetched(address) {
  const response = await fetch(address, { headers: { Accept: "application/json" } });
  if (!response.ok) {
    throw new Error(`${address} answered ${response.status}`);
  }
  return response.json();
}
