// What a person likes on this device: kept in the browser, never sent. Tells of every change with a "settings" event.

const KEY = "steelyard-settings";
export const CHOICES = {
  theme: ["auto", "light", "dark"],
  text: ["normal", "big"],
  hand: ["right", "left"],
};
const USUAL = { theme: "auto", text: "normal", hand: "right", sound: true, vibration: true, voice: false, voiceName: "", warning_s: 10 };
export const WARNING_MOST_S = 60;

function fits(name, value) {
  if (name in CHOICES) return CHOICES[name].includes(value);
  if (name === "warning_s") return Number.isInteger(value) && value >= 0 && value <= WARNING_MOST_S;
  return name in USUAL && typeof value === typeof USUAL[name];
}

// Private windows and full disks refuse; the settings then hold until the page is closed.
function kept() {
  try {
    const found = Object.entries(JSON.parse(localStorage.getItem(KEY)) ?? {});
    return Object.fromEntries(found.filter(([name, value]) => fits(name, value)));
  } catch {
    return {};
  }
}

function keep() {
  try {
    localStorage.setItem(KEY, JSON.stringify(settings));
    return true;
  } catch {
    return false;
  }
}

export const settings = { ...USUAL, ...kept() };

function show() {
  for (const name of Object.keys(CHOICES)) document.documentElement.dataset[name] = settings[name];
}

function tell(name) {
  show();
  document.dispatchEvent(new CustomEvent("settings", { detail: { name, value: settings[name] } }));
}

/** Change one; false if there is no such setting or value. */
export function set(name, value) {
  if (!fits(name, value)) return false;
  settings[name] = value;
  keep();
  tell(name);
  return true;
}

// Another page of ours on the same device.
addEventListener("storage", (event) => {
  if (event.key !== KEY) return;
  const before = { ...settings };
  Object.assign(settings, USUAL, kept());
  for (const name of Object.keys(USUAL)) if (before[name] !== settings[name]) tell(name);
});

/** Whether a change outlives the page. */
export const lasting = keep;

show();
