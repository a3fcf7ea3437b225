// The sheets that come up over the page: a note on the last set, a change of mind, the stop signs, and what else there is.

import { leftSaid } from "./events.js";
import { leftKeys } from "./pad.js";
import { changesUnderThumb } from "./thumb.js";

const sheet = document.getElementById("sheet");

/** An element with its contents. */
export function made(name, properties = {}, ...inside) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inside);
  return element;
}

/** A button that closes the sheet and does something. */
const choice = (words, act, className = "") => {
  const button = made("button", { type: "button", className, textContent: words });
  button.addEventListener("click", () => {
    close();
    act();
  });
  return button;
};

/** A row of choices under a heading; nothing if there are none. */
const group = (title, ...choices) =>
  choices.length ? [made("h3", { textContent: title }), made("div", { className: "choices", role: "group", ariaLabel: title }, ...choices)] : [];

/** Opens a sheet. */
export function open(title, ...parts) {
  const back = made("button", { type: "button", className: "small", textContent: "Close" });
  back.addEventListener("click", close);
  const head = made("header", {}, made("h2", { id: "sheet-title", textContent: title }), back);
  changesUnderThumb();
  sheet.replaceChildren(head, ...parts.flat());
  if (!sheet.open) sheet.showModal();
  sheet.scrollTop = 0;
}

export function close() {
  if (sheet.open) sheet.close();
}

/** Stop signs, one tap from anywhere. stops: what each way out does. */
export function stopSheet(screen, act) {
  const signs = made("ul", {}, ...screen.stop_signs.map((sign) => made("li", { textContent: sign })));
  const ways = [...(screen.stops[screen.cards[0]?.stops] ?? []), ...screen.ends].map((stop) => choice(stop.words, () => act(stop), stop.why === "end" ? "main" : "wide"));
  open("Stop, and get help, if you notice", signs, made("div", { className: "column" }, ...ways));
}

/** What is to be known after an exercise was stopped, what else may hurt, and the ways on and out. */
export function cautionSheet(stop, { act, end }) {
  const words = stop.caution.map((one) => made("p", { textContent: one }));
  const leave = (stop.leave ?? []).map((each) => choice(each.words, () => {
    act(each);
    const left = stop.leave.filter((other) => other !== each);
    if (left.length) cautionSheet({ ...stop, leave: left }, { act, end });
  }, "wide"));
  const on = stop.why === "sign" ? [] : [choice("Go on with another exercise", () => {}, "wide")];
  open("Stopped", ...words, made("div", { className: "column" }, ...leave, ...on, choice("End the session", end, "main")));
}

/** How the last set went beyond its number, also otherwise than it was said. say: takes what is to be corrected. */
export function noteSheet(last, { say, pain, reps }) {
  const more = leftKeys(last).keys.filter((key) => !key.wide).map((key) => choice(key.words, () => say(leftSaid(key.value)), "key"));
  const helped = ["none", "1", "2", "3", "4"].slice(0, 1 + last.reps).map((words, count) => choice(words, () => say({ helped: count }), "key"));
  const note = made("textarea", { id: "note-text", rows: 2, maxLength: 500, value: last.note });
  const written = made("div", { className: "asked" }, made("label", { htmlFor: "note-text", textContent: "In your words" }), note,
    choice("Keep the note", () => say({ note: note.value })));
  const broke = last.said !== "form broke";
  open([`${last.words}, ${last.exercise}`, last.said].filter(Boolean).join(": "),
    group("How it ended", choice(broke ? "Form broke" : "Form held", () => say({ form: broke })), choice("The last rep failed", () => say(leftSaid("failed"))), ...(pain ? [choice("It hurt", pain, "stop")] : [])),
    last.role === "warm-up" ? [] : group("How many more", ...more),
    group("Reps that were helped, or cut short", ...helped.slice(last.helped ? 0 : 1)),
    group("It was another number", choice("Correct the reps", reps)),
    written);
}

/** Something to know. */
export const tell = (title, ...words) => open(title, ...words.map((one) => made("p", { textContent: one })));

/** Asks for a whole number. */
export function numberSheet(title, { least, most, value }, given) {
  const input = made("input", { id: "number", type: "number", inputMode: "numeric", min: least, max: most, value, required: true });
  const done = made("button", { className: "main", textContent: "Done" });
  const problem = made("p", { className: "amiss", hidden: true });
  problem.setAttribute("role", "alert");
  const form = made("form", { noValidate: true }, made("label", { htmlFor: "number", textContent: `From ${least} to ${most}` }), input, problem, done);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = Number(input.value);
    problem.hidden = input.value !== "" && Number.isInteger(typed) && typed >= least && typed <= most;
    problem.textContent = `That is '${input.value}'; it must be a whole number from ${least} to ${most}.`;
    if (!problem.hidden) return;
    close();
    given(typed);
  });
  open(title, form);
  input.select();
}

/** A change of mind: what may go otherwise now, each as the event it would be. */
export function changeSheet(screen, { act, minutes }) {
  const [set, ...others] = screen.minds.map((one) => group(one.title, ...one.choices.map((each) => choice(each.words, () => act(each)))));
  const spans = [5, 10, 15, 20, 30].filter((each) => each * 60 < screen.lasts_s);
  const short = group("I have only so many minutes left", ...spans.map((each) => choice(`${each} min`, () => minutes(each))));
  open("What changes?", set ?? [], short, ...others);
}

/** What an event was about and when, by the clock on the wall. */
function told({ kind, at, body }) {
  const what = kind === "set-done" ? `${body.reps} ${body.reps === 1 ? "rep" : "reps"}` : "A change";
  return `${what} at ${new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`;
}

/** What else there is: all that follows, settings, what is kept here, and the ways out. */
export function moreSheet(screen, refused, { settings, end, copy, forget, alone, awake }) {
  const several = Object.keys(screen.lifters).length > 1;
  const following = screen.cards.slice(1).map((card) => {
    const who = several ? `${screen.lifters[card.lifter].name}: ` : "";
    const words = [card.place, card.side, `${card.reps} at ${card.felt}`].filter(Boolean).join(", ");
    return made("li", {}, made("b", { textContent: who + card.name }), `, ${words}`, card.do ? made("span", { className: "todo", textContent: ` ${card.do}` }) : "");
  });
  const lost = refused.map((entry) => made("div", { className: "amiss" }, made("p", { textContent: `${told(entry.event)}: ${entry.why}` }), choice("Put it away", () => forget(entry))));
  open("More",
    lost.length ? [made("h3", { textContent: "Not saved" }), ...lost] : [],
    made("div", { className: "choices" }, choice("Settings", settings), choice("End the session", end), choice("Save a copy as a file", copy),
      ...(several ? [choice("Go on alone", alone)] : []),
      made("a", { className: "button", href: `/board/${screen.sessions[0]}`, textContent: "Board for the room" })),
    made("p", { className: "quiet", textContent: awake }),
    screen.notes.length ? [made("h3", { textContent: "Notes" }), made("ul", {}, ...screen.notes.map((note) => made("li", { textContent: note })))] : [],
    made("h3", { textContent: "After this set" }),
    following.length ? made("ol", {}, ...following) : made("p", { textContent: "Nothing: this is the last set." }));
}
