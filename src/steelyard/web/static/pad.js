// The pad: one tap says the reps, one more how many were left. Keys, a page-turner pedal and long presses work it too.

const LONG_PRESS_MS = 550;
const DIGITS_MS = 1500;
const FORWARD = ["ArrowRight", "ArrowDown", "PageDown"];
const BACK = ["ArrowLeft", "ArrowUp", "PageUp"];

/** Keys for reps: those wanted stand out, and the pedal begins with the last of them. */
export function repsKeys(card) {
  const keys = card.keys.map((reps) => ({ words: String(reps), value: reps, wanted: card.low <= reps && reps <= card.high }));
  const usual = Math.max(0, keys.findLastIndex((key) => key.wanted));
  return { ask: "Tap the reps you did", keys: [...keys, { words: "…", label: "Another number of reps", value: null }], usual };
}

/** Keys for how many more there would have been. */
export function leftKeys({ words, wanted }) {
  const keys = ["0", "1", "2", "3", "4", "5"].map((left) => ({
    words: left === "5" ? "5+" : left, label: left === "5" ? "5 or more" : left, value: left, wanted: Number(left) === wanted,
  }));
  const failed = { words: "failed", label: "failed: the last rep did not go up", value: "failed", wide: true };
  const unsaid = { words: "can't say", value: "", wide: true };
  const usual = 1 + Math.min(wanted, 5);
  return { ask: `${words}: how many more could you have done?`, keys: [failed, ...keys, unsaid], usual };
}

export class Pad {
  #place;
  #ask;
  #shown = "";
  #set = null;
  #digits = "";
  #digitsAt = 0;
  #pressed = 0;
  #byKey = false;

  /** chosen: called with (value, long) for a key; long when it was held down. */
  constructor(place, ask, chosen) {
    this.#place = place;
    this.#ask = ask;
    this.chosen = chosen;
    place.addEventListener("contextmenu", (event) => event.preventDefault());
    addEventListener("keydown", (event) => this.#key(event));
    addEventListener("pointerdown", () => (this.#byKey = false), { capture: true });
  }

  /** Shows a set of keys; name tells one from another, so that the same ones stay as they are. */
  show(name, set) {
    if (name === this.#shown) return;
    this.#shown = name;
    this.#set = set;
    this.#ask.textContent = set.ask;
    const had = this.#byKey && this.#place.contains(document.activeElement);
    this.#place.replaceChildren(...set.keys.map((key, place) => this.#button(key, place)));
    if (had) this.#mark(set.usual);
  }

  #button(key, place) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = key.words;
    if (key.label) button.setAttribute("aria-label", key.label);
    if (key.wanted) {
      button.classList.add("in");
      button.setAttribute("aria-description", "as wanted");
    }
    if (key.wide) button.classList.add("wide");
    let timer = 0;
    let long = false;
    button.addEventListener("pointerdown", () => {
      long = false;
      timer = setTimeout(() => {
        long = true;
        this.#choose(place, true);
      }, LONG_PRESS_MS);
    });
    for (const end of ["pointerup", "pointerleave", "pointercancel"]) button.addEventListener(end, () => clearTimeout(timer));
    button.addEventListener("click", () => long || this.#choose(place, false));
    return button;
  }

  #choose(place, long) {
    this.#digits = "";
    this.chosen(this.#set.keys[place].value, long);
  }

  get #marked() {
    const place = [...this.#place.children].indexOf(document.activeElement);
    return place < 0 ? this.#set.usual : place;
  }

  #mark(place) {
    const many = this.#place.children.length;
    this.#place.children[(place + many) % many].focus({ focusVisible: true });
  }

  /** Forward takes the marked key, back marks the one before it: two pedals are enough. Digits and Enter say a number. */
  #key(event) {
    if (!this.#set || this.#place.hidden || event.ctrlKey || event.metaKey || event.altKey) return;
    if (document.querySelector("dialog[open]") || /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement?.tagName)) return;
    this.#byKey = true;
    if (FORWARD.includes(event.key)) this.#pedal(event, () => this.#choose(this.#marked, false));
    else if (BACK.includes(event.key)) this.#pedal(event, () => this.#mark(this.#place.contains(document.activeElement) ? this.#marked - 1 : this.#set.usual));
    else if (/^[0-9]$/.test(event.key)) this.#digit(event.key);
    else if (event.key === "Enter" && this.#digits) this.#entered(event);
  }

  /** A pedal that is held down, or bounces, is one press. */
  #pedal(event, act) {
    event.preventDefault();
    const now = performance.now();
    if (event.repeat || now - this.#pressed < 120) return;
    this.#pressed = now;
    act();
  }

  #digit(digit) {
    const now = performance.now();
    this.#digits = now - this.#digitsAt < DIGITS_MS ? (this.#digits + digit).slice(-3) : digit;
    this.#digitsAt = now;
    const place = this.#set.keys.findIndex((key) => String(key.value) === this.#digits);
    if (place >= 0) this.#mark(place);
  }

  #entered(event) {
    event.preventDefault();
    const typed = this.#digits;
    this.#digits = "";
    const key = this.#set.keys.find((each) => String(each.value) === typed);
    if (key) this.chosen(key.value, false);
    else if (this.#set.keys.some((each) => typeof each.value === "number")) this.chosen(Number(typed), false);
  }
}
