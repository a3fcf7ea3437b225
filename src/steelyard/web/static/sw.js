// Starts the page without the network. Files at addresses that change with their contents are kept for good; pages are
// asked for first and taken from here when no answer comes. SHELL is put in front by the server. A new worker waits
// until the pages of the old one are closed, so that nothing is changed under a session.
/* global SHELL */

const PAGES = "steelyard-pages";
const FILES = `steelyard-files-${SHELL.version}`;
const ENGINE = "steelyard-engine";
const PATIENCE_MS = 4000; // for a page that can be shown from here instead
const WORK_MS = 30_000; // for one that can't: a small computer may have to plan an evening for two

self.addEventListener("install", (event) => {
  const fresh = SHELL.files.map((file) => new Request(file, { cache: "reload" }));
  event.waitUntil(caches.open(FILES).then((cache) => cache.addAll(fresh)));
});

self.addEventListener("activate", (event) => event.waitUntil(tidied().then(() => self.clients.claim())));

async function tidied() {
  const old = (await caches.keys()).filter((name) => name.startsWith("steelyard-files-") && name !== FILES);
  await Promise.all(old.map((name) => caches.delete(name)));
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (pathname.startsWith("/static/")) event.respondWith(kept(request, FILES));
  else if (pathname.startsWith("/engine/")) event.respondWith(kept(request, ENGINE).then(outdated(pathname)));
});

/** From the cache, else from the server, and then into the cache. */
async function kept(request, name) {
  const found = await caches.match(request, { ignoreVary: true });
  if (found) return found;
  const answer = await fetch(request);
  if (answer.ok) await (await caches.open(name)).put(request, answer.clone());
  return answer;
}

/** Once a file of a newer engine is here, those of older ones go. */
const outdated = (pathname) => async (answer) => {
  const version = pathname.split("/")[2];
  const cache = await caches.open(ENGINE);
  for (const request of await cache.keys()) {
    if (new URL(request.url).pathname.split("/")[2] !== version) await cache.delete(request);
  }
  return answer;
};

/** A page as the server gives it, else as it was last seen here. */
async function page(request) {
  const cache = await caches.open(PAGES);
  const before = await cache.match(request.url, { ignoreVary: true });
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(before ? PATIENCE_MS : WORK_MS) });
    if (answer.ok && !answer.redirected) await cache.put(request.url, answer.clone());
    return answer;
  } catch {
    return before ?? unknown();
  }
}

const unknown = () =>
  new Response(
    "<!doctype html><meta charset=utf-8><meta name=viewport content='width=device-width'><title>Steelyard</title>" +
      "<h1>The server does not answer</h1><p>This page was not opened on this device before. Start the server, or go back to a session that was." +
      "<p><a href='/'>Whose turn</a>",
    { status: 503, headers: { "Content-Type": "text/html" } },
  );
