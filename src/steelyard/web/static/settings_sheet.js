// The sheet on which the settings are changed: a native dialog, built when it is first asked for.
import { CHOICES, WARNING_MOST_S, lasting, set, settings } from "./settings.js";

const ASKED = [
  ["theme", "Look", { auto: "as the device", light: "light", dark: "dark" }],
  ["text", "Text", { normal: "usual", big: "big" }],
  ["hand", "Reach", { right: "right hand", left: "left hand" }],
];
const SWITCHES = [
  ["sound", "Tones when a rest ends"],
  ["vibration", "Vibration with them"],
  ["voice", "Plates and reps called out"],
];

function made(tag, properties = {}, ...inside) {
  const one = Object.assign(document.createElement(tag), properties);
  one.append(...inside);
  return one;
}

function choice([name, legend, words]) {
  const options = CHOICES[name].map((value) => {
    const input = made("input", { type: "radio", name: `setting-${name}`, value, checked: settings[name] === value });
    input.addEventListener("change", () => set(name, value));
    return made("label", {}, input, made("span", { textContent: words[value] }));
  });
  return made("fieldset", {}, made("legend", { textContent: legend }), made("div", { className: "options" }, ...options));
}

function switching([name, words]) {
  const input = made("input", { type: "checkbox", name: `setting-${name}`, checked: settings[name] });
  input.addEventListener("change", () => set(name, input.checked));
  return made("label", { className: "switch" }, input, made("span", { textContent: words }));
}

function warning() {
  const input = made("input", { type: "number", name: "setting-warning_s", min: 0, max: WARNING_MOST_S, step: 1, value: settings.warning_s });
  input.inputMode = "numeric";
  input.addEventListener("change", () => {
    if (input.value === "" || !set("warning_s", Number(input.value))) input.value = settings.warning_s;
  });
  return made("label", { className: "field" }, made("span", { textContent: "Warn before a rest ends, seconds" }), input);
}

/** The browser's voices for the language of the page. */
function voices() {
  const language = document.documentElement.lang.slice(0, 2);
  const all = globalThis.speechSynthesis?.getVoices() ?? [];
  return all.filter((one) => one.lang.slice(0, 2) === language);
}

function voiceField() {
  const select = made("select", { name: "setting-voiceName" });
  const field = made("label", { className: "field" }, made("span", { textContent: "Voice" }), select);
  function fill() {
    const found = voices();
    field.hidden = found.length < 2 || !settings.voice;
    const names = ["", ...new Set(found.map((one) => one.name))];
    select.replaceChildren(...names.map((name) => made("option", { value: name, textContent: name || "the device's own" })));
    select.value = names.includes(settings.voiceName) ? settings.voiceName : "";
  }
  select.addEventListener("change", () => set("voiceName", select.value));
  document.addEventListener("settings", (event) => event.detail.name === "voice" && fill());
  globalThis.speechSynthesis?.addEventListener?.("voiceschanged", fill);
  fill();
  return field;
}

function build() {
  const close = made("button", { type: "button", className: "main", textContent: "Close" });
  const note = lasting() ? "Kept on this device." : "This browser keeps nothing here: they hold until the page is closed.";
  const sheet = made(
    "dialog",
    { className: "settings" },
    made("h2", { id: "settings-heading", textContent: "Settings" }),
    ...ASKED.map(choice),
    made("fieldset", {}, made("legend", { textContent: "Told by" }), ...SWITCHES.map(switching), voiceField(), warning()),
    made("p", { className: "quiet", textContent: note }),
    close,
  );
  sheet.setAttribute("aria-labelledby", "settings-heading");
  close.addEventListener("click", () => sheet.close());
  sheet.addEventListener("click", (event) => event.target === sheet && sheet.close());
  sheet.addEventListener("close", () => sheet.remove());
  return sheet;
}

/** Open the sheet; the focus goes back to where it was when it is closed. */
export function openSettings() {
  document.querySelector("dialog.settings")?.close();
  const sheet = build();
  document.body.append(sheet);
  sheet.showModal();
  return sheet;
}
