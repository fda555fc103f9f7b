// What the service worker keeps: the page without a name, its files, and so many photos.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

const source = readFileSync(new URL("../../vendor/static/counter/worker.js", import.meta.url), "utf8");
const ORIGIN = "http://stall";

class Kept {
  found = new Map();
  name = (request) => new URL(request.url ?? request, ORIGIN).href;
  put = async (request, response) => void this.found.set(this.name(request), response);
  match = async (request) => this.found.get(this.name(request));
  delete = async (request) => this.found.delete(this.name(request));
  keys = async () => [...this.found.keys()].map((url) => ({ url }));
}

/** The worker in a world of its own: its stores, what it fetched, and `ask` to send it a request. */
function worker({ answer = () => ({ ok: true, status: 200 }) } = {}) {
  const stores = new Map();
  const caches = {
    open: async (name) => stores.get(name) ?? stores.set(name, new Kept()).get(name),
    keys: async () => [...stores.keys()],
    delete: async (name) => stores.delete(name),
  };
  const [heard, fetched, waits] = [{}, [], []];
  const fetch = async (request) => {
    const { href, pathname } = new URL(request.url ?? request, ORIGIN);
    fetched.push(pathname);
    const told = answer(pathname);
    return { ...told, url: href, clone: () => ({ ...told, url: href }) };
  };
  const self = { location: { origin: ORIGIN }, addEventListener: (kind, act) => { heard[kind] = act; }, skipWaiting() {}, clients: { claim() {} } };
  const given = { SHELL: ["/sell/", "/static/page.js"], NAMELESS: "/sell/nameless/", EDITION: "2" };
  vm.runInNewContext(source, { ...given, self, caches, fetch, URL, AbortSignal, Promise, Map, Error });
  const ask = async (path, more = {}) => {
    let response;
    heard.fetch({ request: { url: ORIGIN + path, method: "GET", mode: "cors", destination: "", ...more }, respondWith: (given) => { response = given; }, waitUntil: (each) => waits.push(each) });
    const told = await response;
    await Promise.all(waits);
    return told;
  };
  const happen = async (kind) => {
    let done;
    heard[kind]({ waitUntil: (each) => { done = each; } });
    await done;
  };
  return { ask, happen, fetched, stores, caches };
}

const paths = (store) => [...store.found.keys()].map((url) => url.slice(ORIGIN.length));

test("of the photos the latest three hundred are kept", async () => {
  const { ask, stores, fetched } = worker();
  for (let each = 1; each <= 305; each += 1) await ask(`/media/${each}.jpg`, { destination: "image" });
  const kept = paths(stores.get("counter-photos"));
  assert.deepEqual([kept.length, kept[0], kept.at(-1)], [300, "/media/6.jpg", "/media/305.jpg"]);
  await ask("/media/305.jpg", { destination: "image" });
  assert.equal(fetched.length, 305, "what is kept is not fetched again");
});

test("the page is shown as it is, and kept without a name on it", async () => {
  const { ask, stores, fetched } = worker();
  const shown = await ask("/sell/", { mode: "navigate" });
  assert.equal(shown.url, `${ORIGIN}/sell/`);
  assert.deepEqual(fetched, ["/sell/", "/sell/nameless/"]);
  const kept = await stores.get("counter-2").match("/sell/");
  assert.equal(kept.url, `${ORIGIN}/sell/nameless/`);
});

test("a login that ran out leaves the page that is kept as it is", async () => {
  const { happen, stores } = worker({ answer: (path) => (path.startsWith("/static/") ? { ok: true, status: 200 } : { ok: false, status: 0 }) });
  await happen("install");
  assert.deepEqual(paths(stores.get("counter-2")), ["/static/page.js"]);
});

test("a file that was forgotten at a log-out is kept again when it is asked for", async () => {
  const { ask, stores, caches } = worker();
  await ask("/static/page.js");
  await caches.delete("counter-2");
  await ask("/static/page.js");
  assert.deepEqual(paths(stores.get("counter-2")), ["/static/page.js"]);
});

test("what the page sends and fetches is never kept", async () => {
  const { ask, stores, fetched } = worker();
  await ask("/sell/api/stall");
  assert.deepEqual([fetched, stores.size], [[], 0]);
});
