// A finger that bounces, or taps twice, must not tap what has just come up under it: for a moment nothing is there.

const MOMENT_MS = 350;
let timer = 0;

/** What is under the thumb changes now. */
export function changesUnderThumb() {
  document.body.classList.add("changing");
  clearTimeout(timer);
  timer = setTimeout(() => document.body.classList.remove("changing"), MOMENT_MS);
}
