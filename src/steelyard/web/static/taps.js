// Makes taps safe against a server that does not answer. Without this script every form still works by itself.
//
// A tap is written to the outbox in localStorage first, with an id made here; then it is sent. The server takes an
// id once, so sending again after a lost answer is harmless. "Saved" is only ever said by the server's own page.

const OUTBOX = "steelyard.outbox";
const RETRY_MS = 3000;
const ANSWER_MS = 8000;
const SHOW_KEPT_MS = 700;

let sending = false;
let ahead = 0; // server clock minus this device's clock, in milliseconds

const read = () => JSON.parse(localStorage.getItem(OUTBOX) || "[]");
const write = (taps) => localStorage.setItem(OUTBOX, JSON.stringify(taps));
const change = (id, how) => write(read().flatMap((tap) => (tap.id === id ? how(tap) : [tap])));

/** 32 hexadecimal digits; crypto.randomUUID is missing on plain http. */
const newId = () =>
  Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

function keep(form, submitter) {
  const fields = new FormData(form);
  if (submitter?.name) fields.set(submitter.name, submitter.value);
  const id = newId();
  fields.set("event", id);
  fields.set("at", new Date(Date.now() + ahead).toISOString());
  const tap = {
    id, url: new URL(form.action).pathname, kind: form.dataset.tap, body: new URLSearchParams(fields).toString(),
    reps: fields.get("reps"), said: form.dataset.said || "", easy: "easy" in form.dataset, keptAt: Date.now(), refused: "",
  };
  write([...read(), tap]);
  return tap;
}

/** Whether a tap for this form's set is already on its way. */
function waitsFor(form) {
  const slot = new FormData(form).get("slot");
  return slot !== null && read().some((tap) => !tap.refused && new URLSearchParams(tap.body).get("slot") === slot);
}

async function send(tap) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), ANSWER_MS);
  try {
    const answer = await fetch(tap.url, {
      method: "POST", body: tap.body, signal: patience.signal, redirect: "follow",
      headers: { "Content-Type": "application/x-www-form-urlencoded" },
    });
    return { status: answer.status, url: answer.url, text: await answer.text() };
  } catch {
    return { status: 0, url: "", text: "" };
  } finally {
    clearTimeout(timer);
  }
}

/** Send what waits, oldest first; a tap that can't be delivered now holds back those after it. */
async function deliver() {
  if (sending) return;
  sending = true;
  try {
    for (let tap = next(); tap; tap = next()) {
      const answer = await send(tap);
      if (answer.status === 0 || answer.status >= 500) break;
      if (answer.status >= 400) {
        change(tap.id, (kept) => [{ ...kept, refused: problemIn(answer.text) }]);
        continue;
      }
      change(tap.id, () => []);
      if (!next()) swap(answer);
    }
  } finally {
    sending = false;
    document.body.classList.remove("busy");
    showKept();
  }
}

const next = () => read().find((tap) => !tap.refused);

function problemIn(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  return page.querySelector("[data-problem]")?.textContent || "The server refused it.";
}

/** Put the answer's page in place of this one, if it is about the same session. */
function swap(answer) {
  const place = new URL(answer.url);
  if (place.pathname !== location.pathname) return;
  const page = new DOMParser().parseFromString(answer.text, "text/html");
  const main = page.querySelector("main");
  if (!main) return;
  document.querySelector("main").replaceWith(document.adoptNode(main));
  document.body.className = page.body.className;
  document.title = page.title;
  history.replaceState(null, "", place.pathname + place.search);
  scrollTo(0, 0);
  startClock();
}

/** Look again after the screen was off: another device may have logged the next set. */
async function refresh() {
  if (!document.querySelector("[data-slot]") || document.querySelector("details[open]")) return;
  try {
    const answer = await fetch(location.href, { redirect: "follow" });
    if (answer.ok && !next()) swap({ url: answer.url, text: await answer.text() });
  } catch {
    // the server does not answer; what is shown stays
  }
}

/** What waits on this phone, in words, above the page. */
function showKept() {
  const taps = read();
  const box = document.getElementById("kept");
  const refused = taps.find((tap) => tap.refused);
  box.hidden = taps.length === 0;
  document.body.classList.toggle("waiting", taps.some((tap) => !tap.refused));
  if (!taps.length) return;
  const words = box.querySelector("[data-kept-words]");
  const note = box.querySelector("[data-kept-note]");
  const drop = box.querySelector("[data-kept-drop]");
  words.textContent = refused ? `Not saved: ${nameOf(refused)}` : `Kept on this phone, not yet saved: ${listed(taps)}`;
  note.textContent = refused
    ? refused.refused
    : "The server does not answer. It is sent as soon as the server is back; leave this page open and rest.";
  drop.hidden = !refused;
  showEffort(box, refused ? null : taps);
}

const listed = (taps) => taps.map(nameOf).join(", ");

function nameOf(tap) {
  if (tap.kind === "set") return `${tap.reps} reps, ${tap.said}`;
  return { effort: "how many more", undo: "an undo", skip: "a set left out", end: "the end of the session" }[tap.kind];
}

/** Ask how many more there would have been for the set that waits, unless that was answered. */
function showEffort(box, taps) {
  const place = box.querySelector("[data-kept-effort]");
  const set = taps?.findLast((tap) => tap.kind === "set" && !tap.easy);
  const asked = set && !taps.some((tap) => tap.kind === "effort" && tap.body.includes(set.id));
  place.hidden = !asked;
  if (!asked || place.dataset.target === set.id) return;
  place.dataset.target = set.id;
  place.replaceChildren(effortForm(set));
}

function effortForm(set) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = set.url.replace(/set$/, "effort");
  form.dataset.tap = "effort";
  const target = document.createElement("input");
  Object.assign(target, { type: "hidden", name: "target", value: set.id });
  const label = document.createElement("p");
  label.textContent = "How many more could you have done?";
  const row = document.createElement("div");
  row.className = "row";
  for (const left of ["failed", "0", "1", "2", "3", "4", "5"]) {
    const button = document.createElement("button");
    Object.assign(button, { name: "left", value: left, textContent: left === "5" ? "5+" : left });
    if (left === "failed") button.className = "wide";
    row.append(button);
  }
  form.append(target, label, row);
  return form;
}

/** Count the rest from the last set, by the server's clock, so that a reload or a locked screen loses nothing. */
function startClock() {
  const rest = document.querySelector("[data-now]");
  if (rest) ahead = Number(rest.dataset.now) * 1000 - Date.now();
  tick();
}

const clock = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

function tick() {
  tickKept();
  const rest = document.querySelector("[data-since]");
  if (!rest) return;
  const wanted = Number(rest.dataset.rest);
  const rested = Math.max(0, (Date.now() + ahead) / 1000 - Number(rest.dataset.since));
  const short = wanted > 0 && wanted <= 20;
  if (short && rested < wanted) rest.textContent = `go in ${Math.ceil(wanted - rested)}`;
  else if (wanted > 20 && rested < wanted) rest.textContent = `${clock(rested)} of ${clock(wanted)}`;
  else rest.textContent = wanted ? `go, ${clock(rested)}` : "go";
  rest.classList.toggle("over", rested >= wanted);
}

/** The rest runs from a set that waits, too. */
function tickKept() {
  const set = read().findLast((tap) => tap.kind === "set" && !tap.refused);
  const place = document.querySelector("[data-kept-rest]");
  place.hidden = !set;
  if (set) place.textContent = `rested ${clock(Math.max(0, Date.now() - set.keptAt) / 1000)}`;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.dataset.tap) return;
  if (waitsFor(form)) return event.preventDefault(); // a second tap for the same set, before the first was answered
  let tap;
  try {
    tap = keep(form, event.submitter);
  } catch {
    return; // no room or no permission to store: let the browser send the form itself
  }
  event.preventDefault();
  document.body.classList.add("busy");
  setTimeout(() => read().some((kept) => kept.id === tap.id) && showKept(), SHOW_KEPT_MS);
  if (form.closest("#kept")) showKept();
  deliver();
});

document.querySelector("[data-kept-drop]").addEventListener("click", () => {
  const refused = read().find((tap) => tap.refused);
  if (refused) change(refused.id, () => []);
  showKept();
  location.reload();
});

setInterval(tick, 250);
setInterval(() => next() && deliver(), RETRY_MS);
addEventListener("pageshow", () => next() && deliver());
document.addEventListener("visibilitychange", () => document.hidden || (next() ? deliver() : refresh()));
showKept();
startClock();
