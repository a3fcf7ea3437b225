// Journal events as they are made here. A card holds all that its set's event says beforehand; a tap adds the rest.

/** 32 hexadecimal digits; crypto.randomUUID is missing on plain http. */
export const newId = () =>
  Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

/** An event of this device. said: kind, version and body, as the screen offers them. at_ms: when, by the server's clock. */
export const event = ({ kind, version, body }, origin, at_ms) =>
  ({ kind, version, id: newId(), origin, at: new Date(at_ms).toISOString(), body });

/** The session is over. */
export const endOf = (session) => ({ kind: "session-ended", version: 1, body: { session } });

/** A set is left out. */
export const skipOf = ({ session, slot }) => ({ kind: "set-skipped", version: 1, body: { session, slot } });

/** An event is to be read as if it had not happened. */
export const undoOf = (target) => ({ kind: "event-deleted", version: 1, body: { target } });

/** A set was done now. rested_from: when that lifter's set before ended [s]; null for the first. rep_s: how long a rep takes. */
export function setDone(card, reps, { origin, at_ms, rested_from, rep_s }) {
  const rest_s = rested_from === null ? null : Math.max(0, at_ms / 1000 - rested_from - rep_s * reps);
  const { session, lifter, exercise, slot, role } = card;
  const body = { session, lifter, exercise, slot, role, ...card.body, reps, rir: null, ended: "unsaid", note: "", helped: 0 };
  const timed = { ...body, rest_s: rest_s === null ? null : Math.round(rest_s * 1000) / 1000 };
  return event({ kind: "set-done", version: 2, body: timed }, origin, at_ms);
}

/** How a set ended, or what else is to be said of it; what is left out stays as it was. */
export function corrected(target, how, origin, at_ms) {
  const unsaid = { reps: null, rir: null, failed: null, note: null, helped: null, form: null };
  return event({ kind: "set-corrected", version: 2, body: { target, ...unsaid, ...how } }, origin, at_ms);
}

/** What a key of "how many more" says. */
export const leftSaid = (left) => (left === "failed" ? { failed: true, rir: 0 } : { failed: false, rir: Number(left) });
