/**
 * Opens the page at the stall without a network. Served as /sell/worker.js, with the two lines
 * before this one that say which files make the page (SHELL) and which edition they are (EDITION).
 *
 * The page itself comes from the network where there is one, from the cache where there isn't;
 * its files from the cache; what it fetches and sends (/sell/api/) always from the network.
 */
/* global SHELL, EDITION */
"use strict";

const CACHE = `counter-${EDITION}`;
const PHOTOS = "counter-photos";
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
    if (url.pathname === PAGE) event.respondWith(page(request));
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

async function keep(cache, url) {
  const response = await fetch(url, { cache: "no-cache", redirect: "manual", credentials: "same-origin" });
  if (response.ok) await cache.put(url, response);
  else if (url !== PAGE) throw new Error(`${url} answered ${response.status}`);
}

async function page(request) {
  const cache = await caches.open(CACHE);
  try {
    const response = await fetch(request, { signal: AbortSignal.timeout(PATIENCE) });
    if (response.ok) await cache.put(PAGE, response.clone());
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
  const kept = await cache.match(new URL(request.url).pathname);
  return kept ?? fetch(request);
}

async function photo(request) {
  const cache = await caches.open(PHOTOS);
  const kept = await cache.match(request);
  if (kept) return kept;
  const response = await fetch(request);
  if (response.ok) await cache.put(request, response.clone());
  return response;
}
