// Keeps the screen on during a session: the browser's own lock where the origin is secure, else a tiny playing picture.

const WORDS = {
  off: "The screen may go dark.",
  lock: "The screen stays on.",
  film: "The screen should stay on; if it goes dark, set its time-out longer.",
  none: "The screen may go dark: set its time-out longer, or open the page over https.",
};
let wanted = false;
let lock = null;
let film = null;
let how = "off";

/** Whether the screen stays on: `how` in one word, and `words` for the page. */
export function state() {
  return { how, words: WORDS[how] };
}

function now(found) {
  if (found === how) return;
  how = found;
  document.dispatchEvent(new CustomEvent("awake", { detail: state() }));
}

async function locked() {
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => { lock = null; });
    return true;
  } catch {
    return false; // not there, not secure, hidden, or the battery is low
  }
}

// A muted film of two dots that change places: screens mostly stay on while a film is seen to play.
function canvasFilm() {
  const canvas = Object.assign(document.createElement("canvas"), { width: 2, height: 2 });
  const pen = canvas.getContext("2d");
  let turn = 0;
  const drawing = setInterval(() => pen.fillRect((turn += 1) % 2, 0, 1, 1), 1000);
  const video = Object.assign(document.createElement("video"), { muted: true, playsInline: true, className: "awake" });
  video.setAttribute("aria-hidden", "true");
  video.tabIndex = -1;
  video.srcObject = canvas.captureStream(1);
  document.body.append(video);
  return { video, end: () => { clearInterval(drawing); video.srcObject = null; video.remove(); } };
}

async function filmed() {
  try {
    film ??= canvasFilm();
    await film.video.play();
    return true;
  } catch {
    film?.end();
    film = null;
    return false;
  }
}

async function hold() {
  if (!wanted || document.visibilityState !== "visible") return;
  if (lock || (await locked())) now("lock");
  else now((await filmed()) ? "film" : "none");
  if (!wanted) letSleep(); // told to stop while the browser was being asked
}

/** Keep the screen on until told otherwise; call it after a touch, which a film needs. */
export async function keepAwake() {
  wanted = true;
  await hold();
  return state();
}

/** Let the screen go dark again. */
export function letSleep() {
  wanted = false;
  lock?.release().catch(() => {});
  lock = null;
  film?.end();
  film = null;
  now("off");
}

// The browser takes the lock away when the page is hidden.
document.addEventListener("visibilitychange", hold);
