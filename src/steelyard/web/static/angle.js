// The angle of the arm from this phone: laid flat on the arm, its top edge towards the arm's end. Zeroed first where a
// spirit level says level. Without this script, or over plain http, the angle is typed.

const MEAN_MS = 700; // a mean over so long takes off the jitter of a hand's creep; sensors give some 60 values a second
const SILENT_MS = 2500;

const place = document.querySelector("[data-angle]");
const part = (name) => place.querySelector(`[data-angle-${name}]`);
const say = (words) => { part("words").textContent = words; };

let heard = []; // [when in ms, tilt in degrees]
let level = null;

const mean = () => heard.reduce((sum, [, tilt]) => sum + tilt, 0) / heard.length;
const shown = (degrees) => (Math.round(degrees * 10) / 10 + 0).toFixed(1); // + 0: never "-0.0"

function hear(event) {
  if (event.beta === null) return;
  heard.push([event.timeStamp, event.beta]);
  heard = heard.filter(([when]) => event.timeStamp - when <= MEAN_MS);
  part("zero").hidden = false;
  if (level === null) {
    say("Lay the phone where a spirit level says level, its top edge pointing forward. Then zero it.");
    return;
  }
  part("live").textContent = `${shown(mean() - level)}°`;
}

function zero() {
  level = mean();
  part("take").hidden = false;
  part("live").hidden = false;
  say("Now lay it flat on the arm, its top edge towards the arm's end, and take the angle as you read the scale.");
}

function take() {
  const field = document.getElementById("angle");
  field.value = `${shown(mean() - level)} deg`;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  say(`${field.value} is in the form.`);
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
  setTimeout(() => heard.length || say("This device tells no angle. Type it in."), SILENT_MS);
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
