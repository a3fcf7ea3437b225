// Lays a screen out in the page. It only places what the screen holds.

const at = (id) => document.getElementById(id);
const text = (id, words) => {
  const place = at(id);
  if (place.textContent !== words) place.textContent = words;
};
const drawn = {};
/** A drawing, put together of its pieces, where another one was. */
const drawing = (id, places, pieces) => {
  const svg = places.map((place) => pieces[place]).join("");
  if (drawn[id] === svg) return;
  drawn[id] = svg;
  at(id).innerHTML = svg; // made by our own drawing room, which escapes every name in it
};
const FURTHER = ["drop", "rest-pause"]; // what follows a last set, for as long as it is wanted
const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** Everything but the clock and the keys. asking: the set before is still asked about. deciding: somebody works on it. */
export function show(screen, { settled, asking, deciding }) {
  const card = screen.cards[0];
  const several = Object.keys(screen.lifters).length > 1;
  text("who", named(Object.values(screen.lifters)).join(" and "));
  text("position", card ? `, set ${Math.min(screen.position, screen.total)} of ${screen.total}` : "");
  at("task").hidden = at("keys").hidden = !card;
  at("done").hidden = Boolean(card);
  document.body.classList.toggle("unsettled", !settled);
  document.body.classList.toggle("is-asking", Boolean(asking));
  document.body.dataset.seen = settled ? screen.seen : "";
  const whose = [asking ? "Next" : "", several && card ? screen.lifters[card.lifter].name : ""].filter(Boolean).join(", ");
  const state = settled ? "" : `As prepared; ${deciding ? "it is being decided anew" : "decided anew once the server answers"}. `;
  if (card) showCard(card, screen.pieces, whose, state);
  else showDone(screen);
}

/** Lifters by name; by first name where there are several, and these tell them apart. */
function named(lifters) {
  const names = lifters.map((lifter) => lifter.name);
  const first = names.map((name) => name.split(" ")[0]);
  return names.length > 1 && new Set(first).size === names.length ? first : names;
}

function showCard(card, pieces, whose, state) {
  at("enough").hidden = !FURTHER.includes(card.role);
  at("again").hidden = FURTHER.includes(card.role);
  at("pad").dataset.slot = card.slot;
  document.title = `${card.name} – Steelyard`;
  text("name", whose ? `${whose}: ${card.name}` : card.name);
  text("side", card.side);
  text("where", `${capital(card.place)}${card.station === card.name ? "" : `, ${card.station}`}`);
  drawing("beam", card.beam, pieces);
  drawing("stack", card.stack, pieces);
  text("lead", document.body.classList.contains("is-asking") ? `As it stands: ${card.lead.charAt(0).toLowerCase()}${card.lead.slice(1)}` : card.lead);
  at("lead").classList.toggle("now", card.at_once);
  at("task").classList.toggle("atonce", card.at_once);
  text("reps", card.reps);
  text("effort", `${card.reps === "1" ? "rep" : "reps"}, ${card.effort}`);
  text("why", state + card.reason);
  text("second", [card.runner_up, card.near && `${capital(card.near)}.`].filter(Boolean).join(" "));
}

/** What the session came to, once nothing is left. */
function showDone(screen) {
  at("pad").dataset.slot = "";
  document.title = `Done – Steelyard`;
  const heed = [...new Set(screen.ends.map((each) => each.heed).filter(Boolean))];
  const parts = [made("h1", screen.ended ? "Session ended" : heed.length ? "Stopped" : "All sets done")];
  parts.push(...heed.map((words) => made("p", words, "warning")));
  if (!screen.ended) {
    const end = made("p", "");
    end.append(made("button", "End the session", "button main", { type: "button", id: "end" }));
    parts.push(end);
  }
  for (const one of screen.summary) {
    const who = screen.lifters[one.lifter].name;
    const sets = `${one.work_sets} work ${one.work_sets === 1 ? "set" : "sets"} in ${Math.ceil(one.took_s / 60)} min`;
    const came = one.work_sets ? sets : "no work set was logged";
    parts.push(made("p", `${who}, ${screen.title}: ${came}${one.left_out ? `, ${one.left_out} left out` : ""}.`, "lead"));
    parts.push(...one.sentences.map((words) => made("p", tied(words))));
  }
  if (!screen.summary.length) parts.push(made("p", "What you did is kept; the summary comes once it is reckoned.", "lead"));
  const key = JSON.stringify([screen.ended, heed, screen.summary]);
  const place = at("done");
  if (place.dataset.shown === key) return;
  place.dataset.shown = key;
  place.replaceChildren(...parts);
  for (const lifter of Object.keys(screen.lifters)) {
    place.append(link(`/review/${lifter}`, "Look back, and see next time"), link(`/lifter/${lifter}`, "The next session"));
  }
}

/** What was just done: whether it is safe, and what can be said of it. */
export function showSaved(screen, { kept, waiting, lasting }) {
  const last = screen.last;
  at("saved").hidden = !screen.undo;
  if (!screen.undo) return;
  const isSet = last !== null && screen.undo.ids.includes(last.id);
  const state = !kept ? "Keeping" : !waiting ? "Saved" : lasting ? "Kept here" : "On this page only";
  const who = isSet && Object.keys(screen.lifters).length > 1 ? screen.lifters[last.lifter].name : "";
  const words = isSet ? [who, last.words, last.said, last.helped ? `${last.helped} helped` : "", last.note] : [screen.undo.words];
  text("saved-words", tied(`${state}: ${words.filter(Boolean).join(", ")}`));
  at("saved").dataset.state = !kept ? "keeping" : waiting ? "kept" : "saved";
  at("note").hidden = !isSet;
}

/** How it stands with the server, in words; nothing while all is well. */
export function showLink({ away, waiting, trouble, refused, lasting, offline }) {
  const words = linkWords({ away, waiting, trouble, refused, lasting, offline });
  at("link").hidden = !words;
  text("link", words);
}

function linkWords({ away, waiting, trouble, refused, lasting, offline }) {
  if (refused) return `Not saved: ${refused.why}. It stays here; see More.`;
  if (trouble) return `The server answers, but takes nothing: ${trouble.replace(/ '[0-9a-f]{32}'/g, "").split(";")[0]}. All is kept here; see More.`;
  const full = "This browser keeps nothing beyond this page (full, or a private window?)";
  if (!away) return lasting ? "" : `${full}: don't close it before it says Saved.`;
  if (!lasting) return `The server does not answer. ${full}: don't close or reload it.`;
  const things = waiting === 1 ? "1 thing waits" : `${waiting} things wait`;
  const kept = waiting ? `${things} here to be sent.` : "nothing waits to be sent.";
  return `The server does not answer. Go on: ${kept}${offline ? "" : " Don't reload this page."}`;
}

/** A number and its unit stay on one line. */
const tied = (words) => words.replace(/(\d) (kg|lb)\b/g, "$1\u00a0$2");

const made = (name, words, className = "", more = {}) =>
  Object.assign(document.createElement(name), { textContent: words, className, ...more });

const link = (href, words) => {
  const paragraph = document.createElement("p");
  paragraph.append(Object.assign(made("a", words, "button"), { href }));
  return paragraph;
};
