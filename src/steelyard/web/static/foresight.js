// The engine in the page, and what it works out beforehand: the screens that would follow the likeliest next taps, so
// that the right one can be shown at once. Where there is no engine, the server is asked.

import { Engine } from "./engine.js";
import { corrected, leftSaid, setDone } from "./events.js";

const LEFT = ["0", "1", "2", "3", "4", "5", "failed"];
const WARM_AFTER_MS = 400;
const ANSWER_MS = 8000;
const AGAIN_MS = 10_000;
const SOON_MS = 3000;
const MOST_FAILURES = 4;

/** Dispatches "ready" once the engine can be asked. */
export class Foresight extends EventTarget {
  #urls;
  #engine = null;
  #address;
  #store;
  #foreseen = new Map();
  #opened = null;
  #opening = false;
  #wanted = "";
  #failures = 0;
  #failed_ms = 0;

  constructor(urls, address, store) {
    super();
    this.#urls = urls;
    this.#address = address;
    this.#store = store;
  }

  /** Starts the engine, a moment after the page can be read; with what was opened last time if the server is gone. */
  async warm() {
    await new Promise((resolve) => setTimeout(resolve, WARM_AFTER_MS));
    await this.#open();
  }

  /** Goes with what the server said of the events that decide beside this session's, and of the sessions that go along. */
  keepUp({ around, screen }) {
    this.#wanted = named({ around, sessions: screen.sessions });
    this.mend();
  }

  /** Opens the engine anew if it knows less than the server; starts it once more if that failed, as in an outage. */
  mend() {
    const stale = this.#opened ? this.#wanted && this.#wanted !== named(this.#opened) : this.#mayTryAgain;
    if (stale && !this.#opening) this.#open();
  }

  get #mayTryAgain() {
    return 0 < this.#failures && this.#failures < MOST_FAILURES && performance.now() - this.#failed_ms > AGAIN_MS;
  }

  /** While it is opened, the engine is asked nothing; the server is. */
  async #open() {
    this.#opening = true;
    this.#opened = null;
    this.#foreseen.clear();
    if (!this.#engine || this.#engine.failed) this.#engine = new Engine(this.#urls);
    this.#opened = await this.#engine.start(await this.#told());
    this.#opening = false;
    document.documentElement.dataset.engine = this.#opened ? "ready" : "failed";
    this.#failures = this.#opened ? 0 : this.#failures + 1;
    this.#failed_ms = performance.now();
    if (!this.#opened) return;
    this.#store.keep("engine", { address: this.#address, opened: this.#opened });
    this.dispatchEvent(new Event("ready"));
    setTimeout(() => this.mend(), SOON_MS); // what was heard meanwhile
  }

  async #told() {
    try {
      const answer = await fetch(`${this.#address}/engine`, { signal: AbortSignal.timeout(ANSWER_MS), cache: "no-store" });
      if (answer.ok) return await answer.json();
    } catch {
      // gone: what was kept serves
    }
    const before = await this.#store.kept("engine");
    return before?.address === this.#address ? before.opened : `${this.#address}/engine`;
  }

  /** The screen that follows from these events; null if there is no engine, or it was asked something newer. */
  async screen(events) {
    return this.#opened ? this.#engine.screen(events) : null;
  }

  /** Works out beforehand what follows the likeliest taps on this screen. asking: how many were left is to be said. */
  look(events, screen, asking, made) {
    if (!this.#opened) return;
    this.#foreseen.clear();
    const taps = asking ? lefts(screen.last, made) : sets(screen, made);
    this.#engine.foresee(events, taps, (key, found) => this.#foreseen.set(key, found));
  }

  /** The screen that was foreseen for a tap, with what really happened in place of what was supposed; null if none. */
  seen(key, events, screen) {
    const found = this.#foreseen.get(key);
    if (!found) return null;
    const [real] = events;
    const based = [...screen.based, ...events.map((one) => one.id)];
    const swap = (entry) => entry && { ...entry, id: real.id };
    if (real.kind !== "set-done") return { ...found, based };
    const at = Date.parse(real.at) / 1000;
    const lifter = found.lifters[real.body.lifter];
    const lifters = { ...found.lifters, [real.body.lifter]: { ...lifter, rested_from: at } };
    return { ...found, based, lifters, last: { ...swap(found.last), at }, undo: found.undo && { ...found.undo, ids: [real.id] } };
  }

  /** What ends the session in so many minutes, as events to be; null if nobody can reckon it now. */
  async wish(events, minutes) {
    const found = this.#opened ? await this.#engine.wish(events, minutes) : null;
    if (found) return found;
    try {
      const asked = { signal: AbortSignal.timeout(ANSWER_MS), cache: "no-store" };
      const answer = await fetch(`${this.#address}/wish?minutes=${minutes}`, asked);
      return answer.ok ? await answer.json() : null;
    } catch {
      return null;
    }
  }
}

/** What may be said of how many were left, likeliest first. */
function lefts(last, { origin, at_ms }) {
  const likely = [...LEFT].sort((one, other) => far(one, last.wanted) - far(other, last.wanted));
  return likely.map((left) => ({ key: `left ${last.id} ${left}`, events: [corrected(last.id, leftSaid(left), origin, at_ms)] }));
}

/** What the set to do now may end with, likeliest first. */
function sets(screen, { origin, at_ms }) {
  const card = screen.cards[0];
  if (!card) return [];
  const { rested_from } = screen.lifters[card.lifter];
  const ends_ms = Math.max(at_ms, (rested_from ?? 0) * 1000 + 1000 * card.rest_s) + 1000 * card.lasts_s;
  const made = { origin, at_ms: ends_ms, rested_from, rep_s: screen.rep_s };
  const likely = [...card.keys].sort((one, other) => beyond(one, card) - beyond(other, card)).slice(0, card.high - card.low + 4);
  return likely.map((reps) => ({ key: `set ${card.slot} ${reps}`, events: [setDone(card, reps, made)] }));
}

const named = (opened) => (opened ? [opened.around, ...opened.sessions].join() : "");
const far = (left, wanted) => (left === "failed" ? wanted + 1.5 : Math.abs(Number(left) - wanted));
const beyond = (reps, card) => (reps > card.high ? reps - card.high : Math.max(0, card.low - reps) + (card.high - reps) / 100);
