// At the machine. What happened is a set of events; the screen follows from them. A tap makes an event, shows at once
// what was prepared for it, keeps the event here, and sends it; the engine in the page or the server, whichever
// answers first, says what really follows. Both run the same program, so they say the same.

import { ahead } from "./ahead.js";
import { keepAwake, state as awake } from "./awake.js";
import { due, moment, buys, clockWords, left, leftWords, restState } from "./clock.js";
import { Courier, deliverLeft } from "./courier.js";
import { corrected, endOf, event, leftSaid, newId, setDone, skipOf, undoOf } from "./events.js";
import { Foresight } from "./foresight.js";
import { Pad, leftKeys, repsKeys } from "./pad.js";
import { settings } from "./settings.js";
import { keepPage } from "./offline.js";
import { openSettings } from "./settings_sheet.js";
import { cautionSheet, changeSheet, close, moreSheet, noteSheet, numberSheet, stopSheet, tell } from "./sheets.js";
import { show, showLink, showSaved } from "./show.js";
import { openStore } from "./store.js";
import { changesUnderThumb } from "./thumb.js";
import { signal } from "./tones.js";
import { say } from "./voice.js";

const start = JSON.parse(document.getElementById("start").textContent);
const address = start.address;
const session = address.split("/").pop();
const REPS = { least: 0, most: 200 };
const FORGOTTEN_MS = 14 * 24 * 3600 * 1000;
const FRESH_S = 60; // a page older than that was kept somewhere, and its screen with it
const at = (id) => document.getElementById(id);

const store = await openStore();
const origin = await device();
const courier = new Courier(address, session, store);
const foresight = new Foresight(start.engine, address, store);
const pad = new Pad(at("keys"), at("ask"), chosen);

let screen = start.screen;
let settled = false;
let known = new Map(); // every event that counts, by id
let refused = [];
const mine = new Map(); // events made since the page was opened, kept here or about to be
let keeping = 0; // what is not on this device's disk yet
let unasked = ""; // the set of which the lifter can't say how many were left
let offset_s = (await store.kept("offset")) ?? start.screen.now - Date.now() / 1000; // the page may be an old copy
let trail = []; // screens before each tap, for an undo that nobody has reckoned yet
let stamped_ms = 0;
let sounded_s = 0;
let called = "";
let startable = false; // without the server, too

/** What this device is called in its events. */
async function device() {
  const known = await store.kept("origin");
  if (known) return known;
  const name = `page-${newId().slice(0, 8)}`;
  await store.keep("origin", name);
  return name;
}

const now_s = () => moment(offset_s);

/** When something happens: never before what happened last here, for the server's clock is only known roughly. [ms] */
const stamp_ms = () => (stamped_ms = Math.max(stamped_ms + 1, Math.floor(now_s() * 1000)));
const asking = () => Boolean(screen.last?.ask && !screen.ended && screen.last.id !== unasked);
const sameEvents = (ids) => ids.length === known.size && ids.every((id) => known.has(id));

/** Something happened: it is shown, kept, and sent. */
async function did(events, key = "") {
  changesUnderThumb();
  trail = [...trail.slice(-12), screen];
  for (const one of events) {
    known.set(one.id, one);
    mine.set(one.id, one);
  }
  screen = foresight.seen(key, events, screen) ?? ahead(screen, events, trail);
  settled = false;
  keeping += 1;
  render();
  signal("saved");
  await store.add(session, events);
  keeping -= 1;
  courier.expect(events.length);
  render();
  courier.go();
  decide();
}

/** What really follows, by the engine in the page, if it is there. */
async function decide() {
  const worked = await foresight.screen([...known.values()]);
  if (worked) settle(worked);
}

/** Takes a screen for true if it follows from just the events known here. */
function settle(found) {
  if (!sameEvents(found.based)) return false;
  const fresh = !settled || found.seen !== screen.seen;
  screen = found;
  settled = true;
  render();
  if (fresh) {
    store.keep(`screen ${session}`, screen);
    lookAhead();
  }
  return true;
}

const lookAhead = () => foresight.look([...known.values()], screen, asking(), { origin, at_ms: now_s() * 1000 });

/** The server's clock. */
function clock(server_s) {
  offset_s = server_s - Date.now() / 1000;
  store.keep("offset", offset_s);
}

/** What the server says: events of other devices, and the screen that follows. */
async function heard({ detail }) {
  clock(detail.screen.now);
  const before = new Set(known.keys());
  foresight.keepUp(detail);
  await recall();
  if (!settle(detail.screen) && !sameEvents([...before])) decide();
  render();
}

/** The server knows nothing else than the page. */
function same({ detail }) {
  clock(detail.now);
  foresight.keepUp({ around: detail.around, screen });
}

/** Learns the events that count: those of this session here and on the server; what was refused counts no more. */
async function recall() {
  const entries = await store.all(session);
  refused = entries.filter((entry) => entry.state === "refused");
  const counts = entries.filter((entry) => entry.state === "waiting" || entry.state === "there");
  known = new Map([...mine, ...counts.map((entry) => [entry.id, entry.event])]);
  for (const entry of entries) if (entry.state === "refused" || entry.state === "elsewhere") known.delete(entry.id);
  return entries;
}

function render() {
  const card = screen.cards[0];
  const deciding = !courier.away || document.documentElement.dataset.engine === "ready";
  show(screen, { settled, deciding, asking: asking() && card && !card.at_once });
  showSaved(screen, { kept: keeping === 0, waiting: courier.waiting, lasting: store.lasting });
  showLink({ ...link(), lasting: store.lasting });
  showKeys(card);
  if (card && settled && !(asking() && !card.at_once)) call(card);
  tick();
}

/** The set to do now, for who does not look: read by a screen reader, and once by the voice. */
function call(card) {
  if (at("heard").textContent !== card.say) at("heard").textContent = card.say;
  const calls = `${card.session} ${card.slot}`;
  if (calls !== called) say(card.say);
  called = calls;
}

const link = () => ({
  away: courier.away, waiting: courier.waiting, trouble: courier.trouble, refused: refused[0],
  offline: startable,
});

/** A set in words that name whose it was, where several train in turn. */
const whose = (last) =>
  last && screen.sessions.length > 1 ? { ...last, words: `${screen.lifters[last.lifter].name}, ${last.words}` } : last;

function showKeys(card) {
  const last = screen.last;
  const aside = asking() && card?.at_once;
  at("aside").hidden = !aside;
  if (aside) showAside(last);
  if (asking() && !aside) {
    at("keys").hidden = false;
    pad.show(`left ${last.id}`, leftKeys(whose(last)));
  } else if (card) pad.show(`reps ${card.session} ${card.slot} ${card.keys} ${card.reps}`, repsKeys(card));
  at("ask").hidden = at("keys").hidden;
  at("pad").classList.toggle("left", asking() && !aside);
}

/** How many more, asked beside a set that goes on at once. */
function showAside(last) {
  const place = at("aside-keys");
  if (place.dataset.of === last.id) return;
  place.dataset.of = last.id;
  const set = leftKeys(whose(last));
  at("aside-words").textContent = set.ask;
  place.replaceChildren(...set.keys.map((key) => {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: key.words, className: key.wide ? "wide" : "" });
    if (key.label) button.setAttribute("aria-label", key.label);
    button.addEventListener("click", () => sayLeft(key.value));
    return button;
  }));
}

/** A key of the pad: reps, or how many were left. */
function chosen(value, long) {
  if (asking() && !screen.cards[0]?.at_once) return sayLeft(value);
  const card = screen.cards[0];
  const odd = value === null || value > REPS.most;
  if (odd) return numberSheet("How many reps?", { ...REPS, value: value ?? card.low }, (reps) => logSet(card, reps, false));
  return logSet(card, value, long);
}

async function logSet(card, reps, long) {
  const { rested_from } = screen.lifters[card.lifter];
  const done = setDone(card, reps, { origin, at_ms: stamp_ms(), rested_from, rep_s: screen.rep_s });
  const logged = did([done], `set ${card.slot} ${reps}`);
  if (long) note();
  await logged;
}

function sayLeft(value) {
  if (value === "") {
    changesUnderThumb();
    unasked = screen.last.id;
    return render();
  }
  return did([corrected(screen.last.id, leftSaid(value), origin, stamp_ms())], `left ${screen.last.id} ${value}`);
}

function note() {
  const last = screen.last;
  const say = (how) => did([corrected(last.id, how, origin, stamp_ms())]);
  const reps = () => numberSheet("How many reps were it?", { ...REPS, value: last.reps }, (count) => say({ reps: count }));
  noteSheet(whose(last), { say, reps, pain: last.hurt && (() => stopped(last.hurt)) });
}

/** A change of mind, as the event that the screen offers for it. */
const made = (offer) => event(offer, origin, stamp_ms());
const act = (offer) => did([made(offer)]);

/** Stopped for pain or a stop sign: the event first, then the caution. */
async function stopped(stop) {
  const acted = act(stop);
  if (stop.caution?.length) cautionSheet(stop, { act, end });
  await acted;
}

const end = () => did(screen.sessions.map((each) => made(endOf(each))));

async function minutes(count) {
  at("saved").hidden = false;
  at("saved-words").textContent = `Working out what fits in ${count} minutes`;
  const offers = await foresight.wish([...known.values()], count);
  if (offers) return did(offers.map(made));
  render();
  return tell("Not worked out", "What to leave out is worked out by the server, or by the engine in this page. Neither answers yet; leave sets out one by one meanwhile.");
}

/** Events of this session as a file that `steelyard import` reads. */
async function copy() {
  const lines = (await store.all(session)).map((entry) => JSON.stringify(entry.event));
  const file = URL.createObjectURL(new Blob([`${lines.join("\n")}\n`], { type: "application/x-ndjson" }));
  Object.assign(document.createElement("a"), { href: file, download: `steelyard-${session.slice(0, 8)}.ndjson` }).click();
  setTimeout(() => URL.revokeObjectURL(file), 10_000);
}

function tick() {
  const card = screen.cards[0];
  const from = card ? screen.lifters[card.lifter].rested_from : null;
  at("clock").hidden = from === null || from === undefined;
  at("left").textContent = card ? leftWords(left(screen.lasts_s, now_s() - screen.reckoned, card.starts_s)) : "";
  if (!card || from === null || from === undefined) return;
  const rested_s = Math.max(0, now_s() - from);
  const pause = card.role === "rest-pause";
  at("count").textContent = clockWords(card, rested_s);
  at("clock").dataset.rest = restState(rested_s, card.rest_s, settings.warning_s);
  at("clock").classList.toggle("pause", pause);
  at("buys").textContent = card.at_once ? "" : buys(card, rested_s);
  ring(card, rested_s, pause);
}

/** Tones and digits, each once: two looks at the clock have its moment between them. */
function ring(card, rested_s, pause) {
  for (const name of due(Math.min(sounded_s, rested_s), rested_s, card.rest_s, settings.warning_s)) {
    signal(name);
    if (name === "go") say("Go");
  }
  const left_s = Math.ceil(card.rest_s - rested_s);
  if (pause && left_s > 0 && left_s <= 5 && left_s !== Math.ceil(card.rest_s - sounded_s)) say(String(left_s), "count");
  sounded_s = rested_s;
}

/** More happened than the page holds the screen of: the one that was kept last, else what was prepared goes on. */
async function resume() {
  const before = await store.kept(`screen ${session}`);
  if (before?.shape === screen.shape && settle(before)) return;
  const missing = [...known.values()].filter((one) => !screen.based.includes(one.id));
  screen = ahead(screen, missing.sort((one, other) => (one.at < other.at ? -1 : 1)), []);
  decide();
}

async function begin() {
  await store.add(session, start.events, "there"); // an old copy of the page holds fewer than the server has
  const entries = await recall();
  courier.expect(entries.filter((entry) => entry.state === "waiting").length);
  stamped_ms = Math.max(0, ...entries.filter((entry) => entry.event.origin === origin).map((entry) => Date.parse(entry.event.at)));
  const fresh = settle(screen) && now_s() - screen.now < FRESH_S;
  if (!settled) await resume();
  sounded_s = Infinity;
  render();
  courier.addEventListener("state", heard);
  courier.addEventListener("same", same, { once: true });
  courier.addEventListener("link", () => {
    render();
    if (!courier.away) foresight.mend();
  });
  courier.start(fresh ? screen.seen : "", start.around);
  setInterval(tick, 250);
  document.addEventListener("visibilitychange", () => document.hidden || tick());
  foresight.addEventListener("ready", () => decide().then(lookAhead));
  foresight.warm();
  keepPage().then((kept) => (startable = kept));
  deliverLeft(store, session);
  store.tidy(session, FORGOTTEN_MS);
  keepAwake();
}

at("undo").addEventListener("click", () => screen.undo?.ids.length && did(screen.undo.ids.map((id) => made(undoOf(id)))));
at("enough").addEventListener("click", () => act(skipOf(screen.cards[0])));
at("note").addEventListener("click", note);
at("stop").addEventListener("click", () => stopSheet(screen, stopped));
at("change").addEventListener("click", () => changeSheet(screen, { act, minutes }));
at("again").addEventListener("click", () => say(screen.cards[0]?.say, "asked"));
at("more").addEventListener("click", () => moreSheet(screen, refused, { settings: openSettings, end, copy, alone, forget, awake: awake().words }));
at("done").addEventListener("click", (tap) => tap.target.id === "end" && end());
addEventListener("keydown", (key) => {
  if (key.key === "Backspace" && !document.querySelector("dialog[open]") && screen.undo) at("undo").click();
});
addEventListener("beforeunload", (leaving) => {
  // A page that could not be had again must not go by accident; what waits is safe either way.
  if (courier.away && !startable && screen.cards.length) leaving.preventDefault();
});

const alone = () => did(screen.parting.map(made));

async function forget(entry) {
  await store.forget(entry.id);
  refused = refused.filter((each) => each.id !== entry.id);
  close();
  render();
}

await begin();
document.documentElement.dataset.ready = "page";
