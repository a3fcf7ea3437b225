// Lets pages start without the network, where the browser allows it: over https, or on the server itself.

import { deliverLeft } from "./courier.js";
import { openStore } from "./store.js";

export const PAGES = "steelyard-pages";

navigator.serviceWorker?.register("/sw.js").catch(() => {}); // private windows may refuse

/** Keeps this very page for a start without the network; whether it will start so. */
export async function keepPage() {
  if (!navigator.serviceWorker || !globalThis.caches) return false;
  try {
    await navigator.serviceWorker.ready;
    const answer = await fetch(location.pathname, { cache: "force-cache" }); // just as it was opened, mostly without asking again
    if (answer.ok) await (await caches.open(PAGES)).put(location.href.split("#")[0], answer);
  } catch {
    // without the server it is kept the next time
  }
  return Boolean(await caches.match(location.href.split("#")[0]));
}

if (!document.getElementById("start")) openStore().then((store) => deliverLeft(store)); // the page of a session does so itself
