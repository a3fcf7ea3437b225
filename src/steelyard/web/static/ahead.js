// The screen right after a tap, before anything was decided: what was prepared goes on. It is shown at once and gives
// way to the screen that follows from the events, which the engine or the server works out; nothing is decided here.

import { skipOf } from "./events.js";

/** The screen once these events have happened, as far as that can be told from what was prepared. */
export function ahead(screen, events, trail) {
  return events.reduce((known, event) => (STEPS[event.kind] ?? kept)(undoable(known, event), event, trail), screen);
}

const kept = (screen, event) => based(screen, event, {});

const based = (screen, event, changed) => ({ ...screen, based: [...screen.based, event.id], ...changed });

/** What Undo takes back next, until whoever decides says it better. */
const UNDO = {
  "set-skipped": "a set left out",
  "exercise-ended": "an exercise ended",
  "exercise-swapped": "another exercise",
  "exercise-postponed": "another exercise first",
  "station-closed": "a station out of order",
  "load-chosen": "another load",
  "plates-missing": "a plate missing",
  "time-shortened": "less time",
  "session-ended": "the end of the session",
};
const undoable = (screen, { id, kind }) => (UNDO[kind] ? { ...screen, undo: { ids: [id], words: UNDO[kind] } } : screen);

const placeOf = (card) => Number(card.slot.split(".")[0]);
const isAt = (card, session, place) => card.session === session && placeOf(card) === place;

const STEPS = {
  "set-done": (screen, event) => {
    const card = screen.cards.find((each) => each.slot === event.body.slot && each.session === event.body.session);
    if (!card) return kept(screen, event);
    const said = { id: event.id, at: Date.parse(event.at) / 1000, words: doneWords(card, event.body.reps) };
    const { reps, role, slot, session } = event.body;
    const last = { ...said, reps, role, slot, session, exercise: card.name, lifter: card.lifter, said: "", note: "", helped: 0, wanted: card.rir, hurt: screen.stops[card.stops].find((stop) => stop.why === "pain"), ask: role !== "warm-up" };
    const lifters = { ...screen.lifters, [card.lifter]: { ...screen.lifters[card.lifter], rested_from: said.at } };
    return based(without(screen, (each) => each === card), event, { now: said.at, reckoned: said.at, last, lifters, undo: { ids: [event.id], words: said.words } });
  },
  "set-corrected": (screen, event) => {
    if (screen.last?.id !== event.body.target) return kept(screen, event);
    const { failed, rir, form, helped, note, reps } = event.body;
    const words = reps === null ? screen.last.words : screen.last.words.replace(/^\d+ reps?/, reps === 1 ? "1 rep" : `${reps} reps`);
    const said = form ? "form broke" : failed ? "ended in failure" : form === false ? "" : rir === null ? screen.last.said : `${rir >= 5 ? "5 or more" : rir} left`;
    const last = { ...screen.last, words, reps: reps ?? screen.last.reps, said, ask: screen.last.role !== "warm-up" && !said, helped: helped ?? screen.last.helped, note: note ?? screen.last.note };
    return based(screen, event, { last });
  },
  "set-skipped": (screen, event) =>
    kept(without(screen, (each) => each.slot === event.body.slot && each.session === event.body.session), event),
  "exercise-swapped": (screen, event) =>
    kept(without(screen, (each) => isAt(each, event.body.session, event.body.place)), event),
  "exercise-postponed": (screen, event) => kept(later(screen, event.body), event),
  "station-closed": (screen, event) => kept(without(screen, (each) => each.body.station === event.body.station), event),
  "exercise-ended": (screen, event) => {
    const { session, place, why } = event.body;
    const gone = (each) => (why === "sign" ? each.session === session : isAt(each, session, place));
    const heed = why === "sign" ? screen.stops[screen.cards.find(gone)?.stops]?.find((stop) => stop.why === "sign").caution[0] : "";
    const ends = screen.ends.map((each) => (heed && each.body.session === session ? { ...each, heed } : each));
    return based(without(screen, gone), event, { ends });
  },
  "session-ended": (screen, event) => {
    const left = screen.cards.filter((each) => each.session !== event.body.session);
    return based(screen, event, { cards: left, ended: left.length === 0 });
  },
  "event-deleted": (screen, event, trail) => {
    const before = trail.findLast((each) => each.based.every((id) => id !== event.body.target));
    return before ? kept({ ...before, based: screen.based }, event) : takenBack(screen, event);
  },
};

/** Something is taken back of which nothing is known here but its name, as after a reload. */
function takenBack(screen, event) {
  const { undo, last } = screen;
  if (!undo?.ids.includes(event.body.target)) return kept(screen, event);
  const words = `${undo.words} taken back; what follows shows once it is decided`;
  return based(screen, event, { undo: { ids: [], words }, last: undo.ids.includes(last?.id) ? { ...last, ask: false } : last });
}

/** The screen with an exercise, and what alternates with it, done after another one of the session. */
function later(screen, { session, place, after }) {
  const own = screen.cards.filter((card) => card.session === session);
  const among = own.map((card) => placeOf(card) === place);
  const block = new Set(own.slice(among.indexOf(true), among.lastIndexOf(true) + 1).map(placeOf));
  const goes = (card) => card.session === session && block.has(placeOf(card));
  const others = screen.cards.filter((card) => !goes(card));
  const to = 1 + others.findLastIndex((card) => isAt(card, session, after));
  if (to === 0) return screen;
  const order = [...others.slice(0, to), ...screen.cards.filter(goes), ...others.slice(to)];
  const cards = order.map((card, turn) => ({ ...card, starts_s: screen.cards[turn].starts_s }));
  return { ...screen, cards, minds: goes(screen.cards[0]) ? leaving(cards[0]) : screen.minds };
}

/** The screen without some of its cards: the clock of the others moves up. */
function without(screen, gone) {
  const cards = screen.cards.filter((card) => !gone(card));
  const first = screen.cards[0];
  const passed_s = gone(first) ? first.starts_s + first.lasts_s : 0;
  const moved = cards.map((card) => ({ ...card, starts_s: Math.max(0, card.starts_s - passed_s) }));
  const minds = gone(first) ? leaving(moved[0]) : screen.minds;
  return { ...screen, cards: moved, minds, lasts_s: Math.max(0, screen.lasts_s - passed_s), position: screen.total - cards.length + 1 };
}

/** What may be changed of a set before it is known what else may. */
const leaving = (card) => (card ? [{ title: "This set", choices: [{ words: "Leave it out", ...skipOf(card) }] }] : []);

function doneWords(card, reps) {
  return `${reps} ${reps === 1 ? "rep" : "reps"} at ${card.felt}${card.side ? `, ${card.side}` : ""}`;
}
