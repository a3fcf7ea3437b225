// What the clock says. Pure: every function takes the moment, so that a reload, a sleeping screen or a long gap can't
// make it wrong. All moments are seconds since 1970 by the server's clock. [s]

/** Above this, a signal for something that is past comes too late to be of use. [s] */
export const LATE_S = 3;
const STEP_S = 10;
const LITTLE_REPS = 0.5;
const COUNTS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];

/** How far the server's clock is ahead of the device's, from one question and its answer: both ways took as long. [s] */
export const offset = (server_s, asked_ms, answered_ms) => server_s - (asked_ms + answered_ms) / 2000;

/** The moment by the server's clock. */
export const moment = (offset_s, device_ms = Date.now()) => device_ms / 1000 + offset_s;

/** Time since something; never negative, whatever two clocks say. */
export const since = (at_s, now_s) => Math.max(0, now_s - at_s);

/** 84 as "1:24". */
export function spanned(span_s) {
  const whole = Math.floor(Math.max(0, span_s));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** A rest: "1:24 of 2:00", and on past it; without one wanted, only how long it is. */
export const restWords = (elapsed_s, rest_s) => (rest_s > 0 ? `${spanned(elapsed_s)} of ${spanned(rest_s)}` : spanned(elapsed_s));

/** "resting", "nearly" for the last seconds, "over". */
export function restState(elapsed_s, rest_s, warning_s) {
  if (elapsed_s >= rest_s) return "over";
  return elapsed_s >= rest_s - warning_s ? "nearly" : "resting";
}

/** The signals due between two looks at the clock: "nearly", "go". What was slept through is not made up for. */
export function due(before_s, after_s, rest_s, warning_s) {
  const marks = rest_s > 0 ? [["go", rest_s]] : [];
  if (warning_s > 0 && warning_s < rest_s) marks.unshift(["nearly", rest_s - warning_s]);
  return marks.filter(([, at]) => before_s < at && at <= after_s && after_s - at <= LATE_S).map(([name]) => name);
}

/** A rest-pause or a strip: the whole seconds left, and "go in 12", then "go". */
export function countdown(elapsed_s, rest_s) {
  const left_s = Math.max(0, Math.ceil(rest_s - elapsed_s));
  return { left_s, words: left_s ? `go in ${left_s}` : "go" };
}

/** What the clock of a set says: its rest; for one that goes on at once the seconds until then, and when it is time. */
export function clockWords(card, elapsed_s) {
  if (!card.at_once) return restWords(elapsed_s, card.rest_s);
  return elapsed_s < card.rest_s ? countdown(elapsed_s, card.rest_s).words : "go now";
}

/** Reps to be expected after so much rest, from a table of [rest, reps]; flat before and after it. */
export function expected(table, rest_s) {
  const after = table.findIndex(([at]) => at >= rest_s);
  if (after < 0) return table[table.length - 1][1];
  if (after === 0) return table[0][1];
  const [[from_s, low], [to_s, high]] = table.slice(after - 1, after + 1);
  return low + ((high - low) * (rest_s - from_s)) / (to_s - from_s);
}

const spare = (span_s) => (span_s < 120 ? `${span_s} s` : `${spanned(span_s).replace(":00", "")} min`);
const repsMore = (reps) => `${COUNTS[reps] ?? reps} more ${reps === 1 ? "rep" : "reps"}`;

/** What more rest buys now: "30 s more: one more rep"; empty where nothing is known. */
export function buys(card, elapsed_s) {
  const table = card?.buys ?? [];
  if (table.length < 2) return "";
  const now = expected(table, elapsed_s);
  const [most_s, most] = [table[table.length - 1][0], Math.max(...table.map(([, reps]) => reps))];
  if (elapsed_s >= most_s || most - now < LITTLE_REPS) return "rested: more rest buys little";
  for (let more_s = 3 * STEP_S; more_s < most_s - elapsed_s + STEP_S; more_s += STEP_S) {
    const gained = Math.floor(expected(table, elapsed_s + more_s) - now + 0.05);
    if (gained >= 1) return `${spare(more_s)} more: ${repsMore(gained)}`;
  }
  return "more rest buys less than a rep";
}

/**
 * What is left of the session. [s] It shrinks while a rest goes as planned and waits while one is drawn out.
 *
 * lasts_s: what was left when it was reckoned. passed_s: since then. starts_s: until the next set, as reckoned then.
 */
export const left = (lasts_s, passed_s, starts_s) => Math.max(0, lasts_s - Math.min(Math.max(0, passed_s), starts_s));

/** To whole minutes, rounded up as on every other page: "31 min to go". */
export const leftWords = (left_s) => `${Math.ceil(left_s / 60)} min to go`;

/** How long ago something was heard: "now", "20 s ago", "3 min ago". */
export function ago(span_s) {
  if (span_s < 5) return "now";
  return span_s < 120 ? `${Math.floor(span_s)} s ago` : `${Math.floor(span_s / 60)} min ago`;
}
