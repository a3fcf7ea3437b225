// Calls things out with the browser's own speech, if it has one and the person wants it. Never throws.
import { settings } from "./settings.js";

const speech = globalThis.speechSynthesis;
let counting = null; // the digit being said

const able = () => Boolean(speech && globalThis.SpeechSynthesisUtterance);

/** Whether anything would be heard. */
export function speaks() {
  return settings.voice && able();
}

function voice(language) {
  const mine = speech.getVoices().filter((one) => one.lang.replace("_", "-").slice(0, 2) === language.slice(0, 2));
  return mine.find((one) => one.name === settings.voiceName) ?? mine.find((one) => one.default) ?? null;
}

function speak(text, count) {
  const language = document.documentElement.lang || "en";
  const words = new SpeechSynthesisUtterance(text);
  words.lang = language;
  words.voice = voice(language);
  if (words.voice) words.lang = words.voice.lang;
  words.addEventListener("end", () => { if (counting === words) counting = null; });
  counting = count ? words : null;
  speech.speak(words);
}

/**
 * Say something.
 *
 * as: "task"   in place of all that is still to be said: an old plate change called out late is a wrong one.
 *     "more"   after what is being said.
 *     "asked"  as a task, also where the voice is switched off: somebody tapped to hear it.
 *     "count"  a digit of a countdown: cuts off the digit before it, and is left out while words are being said.
 * Returns whether it was given to the voice.
 */
export function say(text, as = "task") {
  if (!text || !(as === "asked" ? able() : speaks())) return false;
  try {
    const busy = speech.speaking || speech.pending;
    if (as === "count" && busy && !counting) return false;
    if (as !== "more" || counting) hush();
    speak(text, as === "count");
    return true;
  } catch {
    return false;
  }
}

/** Be silent at once. */
export function hush() {
  counting = null;
  try {
    speech?.cancel();
  } catch {
    // A browser that can't be silenced was not speaking.
  }
}

document.addEventListener("settings", ({ detail }) => {
  if (detail.name === "voice" && !detail.value) hush();
  if ((detail.name === "voice" && detail.value) || detail.name === "voiceName") say("This is how plates are called.");
});
addEventListener("pagehide", hush);
