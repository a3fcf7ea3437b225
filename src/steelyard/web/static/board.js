// The board follows a session: it asks every second whether anything is new, and keeps the last picture while nobody
// answers. It only lays out what the screen holds.
import { keepAwake } from "./awake.js";
import { ago, clockWords, left, leftWords, moment, offset, restState, since } from "./clock.js";
import { settings } from "./settings.js";

const ASK_MS = 1000;
const NEXT_MS = 4000;
const PATIENCE_MS = 5000;
const MOST_PATIENCE_MS = 60_000;
const SILENT_S = 5;
const LEAST_FIT = 0.5;

const at = (id) => document.getElementById(id);
const board = at("board");
let session = board.dataset.session;
let screen = null;
let around = "";
let ahead_s = 0;
let heard_ms = Date.now();
let patience_ms = PATIENCE_MS; // twice as long after each time that was too short: a slow server is heard in the end

function text(id, words) {
  if (at(id).textContent !== words) at(id).textContent = words;
}

const drawn = {};

function drawing(id, places) {
  const svg = places.map((place) => screen.pieces[place]).join("");
  if (drawn[id] === svg) return;
  drawn[id] = svg;
  at(id).innerHTML = svg; // made by our own drawing room, which escapes every name in it
}

const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

async function answer(address) {
  try {
    const response = await fetch(address, { cache: "no-store", headers: { Accept: "application/json" }, signal: AbortSignal.timeout(patience_ms) });
    if (response.status !== 204 && !response.ok) throw new Error(String(response.status));
    const found = response.status === 204 ? null : await response.json();
    patience_ms = PATIENCE_MS;
    return found;
  } catch (fault) {
    if (fault.name === "TimeoutError") patience_ms = Math.min(2 * patience_ms, MOST_PATIENCE_MS);
    throw fault;
  }
}

function show() {
  const card = screen?.cards[0];
  board.dataset.state = card ? "going" : screen ? "over" : "waiting";
  document.title = `${card ? card.name : "Board"} – Steelyard`;
  const lifters = Object.values(screen?.lifters ?? {});
  text("who", lifters.map((one) => one.name).join(" and "));
  text("position", card ? `set ${Math.min(screen.position, screen.total)} of ${screen.total}` : "");
  text("name", card ? `${lifters.length > 1 ? `${screen.lifters[card.lifter].name}: ` : ""}${card.name}` : "No session is going on");
  text("last", lastWords(screen?.last, card));
  if (card) showCard(card);
  else if (screen) showOver();
  tick();
  fit();
}

function lastWords(last, card) {
  if (!last) return "";
  const where = last.exercise === card?.name ? "" : `${last.exercise}, `;
  const { lifters } = screen;
  const who = Object.keys(lifters).length > 1 ? lifters[last.lifter].name : "";
  return `Done: ${[who, where + last.words, last.said].filter(Boolean).join(", ")}`;
}

function showCard(card) {
  drawing("beam", card.beam);
  drawing("stack", card.stack);
  text("place", `${capital(card.place)}${card.side ? "," : ""}`);
  text("side", card.side);
  text("lead", card.lead);
  text("reps", card.reps);
  text("effort", `${card.reps === "1" ? "rep" : "reps"}, ${card.effort}`);
}

function showOver() {
  board.querySelector(".over h1").textContent = screen.ended ? "Session ended" : "All sets done";
  const sentences = screen.summary.flatMap((one) => one.sentences);
  at("summary").replaceChildren(...sentences.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
}

/** Long words make all words beside the picture smaller, until they fit. */
function fit() {
  for (const part of board.querySelectorAll(".orders, .over")) {
    for (let share = 1; share >= LEAST_FIT; share -= 0.05) {
      part.style.setProperty("--fit", share.toFixed(2));
      if (part.scrollHeight <= part.clientHeight + 1 && part.scrollWidth <= part.clientWidth + 1) break;
    }
  }
}

function tick() {
  const silent_s = (Date.now() - heard_ms) / 1000;
  at("heard").hidden = silent_s < SILENT_S;
  text("heard", silent_s < SILENT_S ? "" : `Server silent, last heard ${ago(silent_s)}`);
  const card = screen?.cards[0];
  const from_s = card && screen.lifters[card.lifter].rested_from;
  const now_s = moment(ahead_s);
  text("left", card ? `, ${leftWords(left(screen.lasts_s, since(screen.reckoned, now_s), card.starts_s))}` : "");
  if (typeof from_s !== "number") {
    at("rest").hidden = true;
    return;
  }
  const rested_s = since(from_s, now_s);
  at("rest").hidden = false;
  at("rest").dataset.rest = restState(rested_s, card.rest_s, settings.warning_s);
  at("resting").hidden = card.at_once;
  text("count", clockWords(card, rested_s));
}

async function ask() {
  if (!session) return;
  const asked_ms = Date.now();
  const found = await answer(`/session/${session}/state?seen=${screen?.seen ?? ""}&around=${around}`);
  heard_ms = Date.now();
  if (!found) return;
  [screen, around] = [found.screen, found.around];
  ahead_s = offset(screen.now, asked_ms, heard_ms);
  show();
}

/** Where nothing is going on any more, what is begun next. */
async function askNext() {
  if (!("follows" in board.dataset) || (screen && !screen.ended)) return;
  const next = (await answer("/board/latest")).session;
  heard_ms = Date.now();
  if (!next || next === session) return;
  [session, screen] = [next, null];
}

async function round(asking, pause_ms) {
  await asking().catch(() => {}); // told by the time since something was heard
  setTimeout(() => round(asking, pause_ms), pause_ms);
}

function offerFull() {
  at("full").hidden = !document.fullscreenEnabled || Boolean(document.fullscreenElement);
}

at("full").addEventListener("click", () => {
  document.documentElement.requestFullscreen().catch(() => {});
  keepAwake();
});
document.addEventListener("fullscreenchange", offerFull);
new ResizeObserver(fit).observe(board.querySelector("footer"));
addEventListener("resize", fit);
offerFull();
keepAwake();
setInterval(tick, 250);
round(ask, ASK_MS);
round(askNext, NEXT_MS);
