// Short tones and vibration: a rest nearly over, go, saved. Silent where the settings or the browser say so; never throws.
import { settings } from "./settings.js";

// [pitch in Hz, begin in s, length in s, loudness from 0 to 1]; buzz: on, off, on in ms.
const SIGNALS = {
  nearly: { notes: [[587, 0, 0.12, 0.3], [587, 0.2, 0.12, 0.3]], buzz: [90, 90, 90] },
  go: { notes: [[784, 0, 0.16, 0.5], [1175, 0.17, 0.45, 0.5]], buzz: [350] },
  saved: { notes: [[392, 0, 0.06, 0.06]], buzz: [20] },
};
let context = null;

/** Browsers give sound only after a touch or a key; called by itself on the first. */
export function unlock() {
  try {
    context ??= new (globalThis.AudioContext ?? globalThis.webkitAudioContext)();
    if (context.state !== "running") context.resume().catch(() => {});
  } catch {
    context = null;
  }
}

function note([pitch, begin, length, loudness]) {
  const at = context.currentTime + 0.02 + begin;
  const gain = new GainNode(context, { gain: 0 });
  const source = new OscillatorNode(context, { type: "triangle", frequency: pitch });
  // Rising and falling in some milliseconds, so that nothing clicks.
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(loudness, at + 0.01);
  gain.gain.exponentialRampToValueAtTime(0.001, at + length);
  source.connect(gain).connect(context.destination);
  source.start(at);
  source.stop(at + length + 0.02);
}

function sound(notes) {
  if (!settings.sound || !context) return false;
  try {
    if (context.state !== "running") context.resume().catch(() => {});
    notes.forEach(note);
    return true;
  } catch {
    return false;
  }
}

function vibrate(pattern) {
  if (!settings.vibration) return false;
  try {
    return navigator.vibrate?.(pattern) ?? false;
  } catch {
    return false;
  }
}

/** Give a signal: "nearly", "go" or "saved". Returns what came of it. */
export function signal(name) {
  const { notes, buzz } = SIGNALS[name];
  return { sounded: sound(notes), vibrated: vibrate(buzz) };
}

for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, unlock, { capture: true, passive: true });
document.addEventListener("settings", ({ detail }) => {
  if (detail.name === "sound" && detail.value) sound(SIGNALS.nearly.notes);
  if (detail.name === "vibration" && detail.value) vibrate(SIGNALS.nearly.buzz);
});
