/**
 * Opens the page at the stall without a network. Served as /sell/worker.js, with the lines before
 * this one that say which files make the page (SHELL), where the page is to be had without a name
 * on it (NAMELESS), and which edition they are (EDITION).
 *
 * The page itself comes from the network where there is one, from the cache where there isn't;
 * its files from the cache; what it fetches and sends (/sell/api/) always from the network.
 */
/* global SHELL, NAMELESS, EDITION */
"use strict";

const CACHE = `counter-${EDITION}`;
const PHOTOS = "counter-photos";
const MOST_PHOTOS = 300;
const PAGE = SHELL[0];
const PATIENCE = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(CACHE)
      // The page needs a login: where it has run out, the files are kept and the page comes later.
      .then((cache) => Promise.all(SHELL.map((url) => keep(cache, url))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("counter-") && name !== CACHE && name !== PHOTOS).map(forget)))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (url.pathname === PAGE) event.respondWith(page(event));
  } else if (SHELL.includes(url.pathname)) {
    event.respondWith(file(request));
  } else if (request.destination === "image") {
    event.respondWith(photo(request));
  }
});

/** The old edition's cache goes, but not its page before the new one has one. */
async function forget(name) {
  const [old, fresh] = [await caches.open(name), await caches.open(CACHE)];
  const kept = await old.match(PAGE);
  if (kept && !(await fresh.match(PAGE))) await fresh.put(PAGE, kept);
  return caches.delete(name);
}

/** What is kept of the page itself is the nameless one: who is logged in is nobody else's business. */
async function keep(cache, url) {
  const response = await fetch(url === PAGE ? NAMELESS : url, { cache: "no-cache", redirect: "manual", credentials: "same-origin" });
  if (response.ok) await cache.put(url, response);
  else if (url !== PAGE) throw new Error(`${url} answered ${response.status}`);
}

async function page(event) {
  const cache = await caches.open(CACHE);
  try {
    const response = await fetch(event.request, { signal: AbortSignal.timeout(PATIENCE) });
    // Without a network in that moment, the one that is kept stays.
    if (response.ok) event.waitUntil(keep(cache, PAGE).catch(() => {}));
    // A server that is there and in trouble is as good as none.
    if (response.status < 500) return response;
    return (await cache.match(PAGE)) ?? response;
  } catch (error) {
    const kept = await cache.match(PAGE);
    if (kept) return kept;
    throw error;
  }
}

async function file(request) {
  const cache = await caches.open(CACHE);
  const { pathname } = new URL(request.url);
  const kept = await cache.match(pathname);
  if (kept) return kept;
  // All was forgotten at a log-out: from now on it is kept again.
  const response = await fetch(request);
  if (response.ok) await cache.put(pathname, response.clone());
  return response;
}

async function photo(request) {
  const cache = await caches.open(PHOTOS);
  const kept = await cache.match(request);
  if (kept) return kept;
  const response = await fetch(request);
  if (response.ok) {
    await cache.put(request, response.clone());
    // The cache names what it holds in the order in which it came: the oldest go.
    const names = await cache.keys();
    await Promise.all(names.slice(0, Math.max(0, names.length - MOST_PHOTOS)).map((name) => cache.delete(name)));
  }
  return response;
}
