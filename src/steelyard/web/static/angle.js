// The angle of the arm from this phone: laid flat on the arm, its top edge towards the arm's end. Zeroed first where a
// spirit level says level. Without this script, or over plain http, the angle is typed.

// A mean over these samples takes off the jitter of a hand's creep. A browser need not tell an angle that stays the
// same, so the latest one is sampled by a clock.
const SAMPLE_MS = 50;
const SAMPLES = 14;
const SILENT_MS = 2500;
const KEPT = "steelyard.level";

const place = document.querySelector("[data-angle]");
const part = (name) => place.querySelector(`[data-angle-${name}]`);
const say = (words) => { part("words").textContent = words; };

let tilt = null; // the latest, in degrees
let sampled = [];
let level = remembered(); // zeroed once for all readings, though each one loads the page again

const mean = () => sampled.reduce((sum, each) => sum + each, 0) / sampled.length;
const shown = (degrees) => (Math.round(degrees * 10) / 10 + 0).toFixed(1); // + 0: never "-0.0"

function remembered() {
  try {
    return JSON.parse(sessionStorage.getItem(KEPT));
  } catch {
    return null; // no permission to store: zeroed anew for each reading
  }
}

function remember() {
  try {
    sessionStorage.setItem(KEPT, JSON.stringify(level));
  } catch {
    // as above
  }
}

function hear(event) {
  if (event.beta === null) return;
  if (tilt === null) {
    say("Lay the phone where a spirit level says level, its top edge pointing forward. Then zero it.");
    part("zero").hidden = false;
    setInterval(sample, SAMPLE_MS);
    if (level !== null) ready();
  }
  tilt = event.beta;
  if (!sampled.length) sample();
}

function sample() {
  sampled = [...sampled, tilt].slice(-SAMPLES);
  if (level !== null) part("live").textContent = `${shown(mean() - level)}°`;
}

function zero() {
  level = mean();
  remember();
  ready();
}

function ready() {
  part("take").hidden = false;
  part("live").hidden = false;
  say("Now lay it flat on the arm, its top edge towards the arm's end, and take the angle as you read the scale.");
}

function take() {
  const field = document.getElementById("angle");
  field.value = shown(mean() - level);
  document.querySelector("[name=by]").value = "deg";
  say(`${field.value} degrees are in the form.`);
}

async function begin() {
  part("begin").hidden = true;
  try {
    const answer = await DeviceOrientationEvent.requestPermission?.();
    if (answer && answer !== "granted") throw new Error(answer);
  } catch {
    say("This phone does not allow its angle to be read here. Type the angle in.");
    return;
  }
  addEventListener("deviceorientation", hear);
  setTimeout(() => tilt !== null || say("This device tells no angle. Type it in."), SILENT_MS);
}

if (place) {
  place.hidden = false;
  if (!isSecureContext) {
    say("Over plain http a browser does not tell the phone's angle. Type it in, or open this page over https.");
  } else if (!("DeviceOrientationEvent" in window)) {
    say("This browser tells no angle. Type it in.");
  } else {
    part("begin").hidden = false;
    part("begin").addEventListener("click", begin);
    part("zero").addEventListener("click", zero);
    part("take").addEventListener("click", take);
  }
}
