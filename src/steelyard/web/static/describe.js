// The drawing follows what is typed. Without this script the button "Draw again" does the same with a whole page.

const form = document.getElementById("describing");
const WAIT_MS = 300;

let timer = 0;
let asking = null;
let changed = false;

const one = (mark) => form.querySelector(`[data-${mark}]`);
const asked = (name) => form.querySelector(`[data-asked="${CSS.escape(name)}"]`);

/** Ask for the drawing of what is typed now; an answer that comes too late is dropped. */
async function draw() {
  asking?.abort();
  asking = new AbortController();
  const fields = new FormData(form);
  fields.delete("good"); // the script keeps the last drawing itself
  try {
    const answer = await fetch("/machine/describe/drawing", {
      method: "POST", body: new URLSearchParams(fields), signal: asking.signal, headers: { Accept: "application/json" },
    });
    const told = await answer.json();
    if (told.error) say(told.error.message);
    else if (told.problem) blame(told.problem);
    else show(told);
  } catch (fault) {
    if (fault.name !== "AbortError") say("The server does not answer; what is typed here stays.");
  }
}

function say(words) {
  one("says").replaceChildren(words);
}

function show({ drawing, line, felt, good }) {
  clear();
  one("drawing").innerHTML = drawing;
  one("drawing").classList.remove("stale");
  one("felt").innerHTML = felt;
  one("good").value = good;
  say(line);
}

/** Put the one problem beside its field, and a way to it under the drawing, which stays as it was. */
function blame({ key, target, name, words }) {
  clear();
  one("drawing").classList.add("stale");
  const strong = document.createElement("b");
  strong.textContent = "Not right yet: ";
  if (!target) return one("says").replaceChildren(strong, words);
  const way = document.createElement("a");
  Object.assign(way, { href: `#${target}`, textContent: name });
  one("says").replaceChildren(strong, way);
  const place = asked(key) || document.getElementById(target);
  const told = document.createElement("p");
  Object.assign(told, { className: "amiss", id: `amiss-${target}`, textContent: words });
  if (place?.matches("summary, h2")) place.after(told);
  else if (place?.matches("details")) place.querySelector("summary").after(told);
  else place?.append(told);
  const input = document.getElementById(target);
  input?.setAttribute("aria-invalid", "true");
  input?.setAttribute("aria-errormessage", told.id);
}

function clear() {
  form.querySelectorAll(".amiss").forEach((told) => told.remove());
  form.querySelectorAll("[aria-invalid]").forEach((input) => input.removeAttribute("aria-invalid"));
}

/** Show the questions that belong to the answers as they are: a cable's at a cable. */
function suit() {
  for (const place of form.querySelectorAll("[data-when]")) {
    if (!place.dataset.when) continue;
    const table = place.dataset.asked.split(".").slice(0, -1).join(".");
    place.hidden = !place.dataset.when.split("&").every((wish) => {
      const [key, wanted] = wish.split("=");
      const value = form.elements.namedItem(`${table}.${key}`)?.value || "";
      return wanted === "*" ? value !== "" : wanted.split(",").includes(value);
    });
  }
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(draw, WAIT_MS);
}

/** A number that may be negative: the number pad of a phone has no minus, so a key beside it turns the sign. */
function addSign(input) {
  input.inputMode = "decimal";
  const key = document.createElement("button");
  Object.assign(key, { type: "button", className: "sign", textContent: "±" });
  key.setAttribute("aria-label", "turn the sign");
  key.addEventListener("click", () => {
    const typed = input.value.trim();
    input.value = /^[-−]/.test(typed) ? typed.slice(1) : `-${typed.replace(/^\+/, "")}`;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.focus();
  });
  input.after(key);
}

/** The drawing shows the station that is worked on. */
function turnTo(part) {
  const [head, name] = part.dataset.part.split(".");
  if (head !== "station" || one("show").value === name) return;
  one("show").value = name;
  later();
}

function openTo(id) {
  for (let place = document.getElementById(id); place; place = place.parentElement) {
    if (place.matches("details")) place.open = true;
  }
  document.getElementById(id)?.focus();
  document.getElementById(id)?.scrollIntoView({ block: "center" });
}

form.addEventListener("input", (event) => {
  if (event.target.name?.startsWith("new.")) return;
  if (event.target.name !== "show") changed = true;
  suit();
  later();
});
form.addEventListener("focusin", (event) => {
  const part = event.target.matches("summary") ? null : event.target.closest("[data-part]");
  if (part) turnTo(part);
});
form.addEventListener("toggle", (event) => event.target.matches("[data-part][open]") && turnTo(event.target), true);
form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("input")) return;
  event.preventDefault(); // Enter ends a number; it must not send the form
  event.target.blur();
});
one("says").addEventListener("click", (event) => {
  const way = event.target.closest("a");
  if (!way) return;
  event.preventDefault();
  openTo(way.hash.slice(1));
});
form.addEventListener("submit", () => { changed = false; });
addEventListener("beforeunload", (event) => changed && event.preventDefault());

one("draw").hidden = true;
form.querySelectorAll("[data-signed]").forEach(addSign);
suit();
document.getElementById(`part-${form.dataset.opened}`)?.scrollIntoView({ block: "start" });
