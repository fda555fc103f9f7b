/**
 * After a log-out the device forgets what the page at the stall kept on it, unless something is
 * not sent yet; then the log-in page, on which this runs, says so.
 */

import { byId, plural } from "./dom.js";
import { openOutbox } from "./outbox.js";

/** @param {import("./outbox.js").Outbox} outbox */
async function forgetAll(outbox) {
  await outbox.forget();
  for (const name of Object.keys(localStorage)) if (name.startsWith("wareboard-")) localStorage.removeItem(name);
  // Only over https and on the device itself there is such a store.
  const stores = globalThis.caches ? await caches.keys() : [];
  await Promise.all(stores.filter((name) => name.startsWith("counter-")).map((name) => caches.delete(name)));
}

const outbox = await openOutbox();
const only = await outbox.only();
if (only.length) {
  byId("unsent-told").textContent = plural(only.length, "entry is", "entries are");
  byId("unsent").hidden = false;
} else if (!new URLSearchParams(location.search).has("next")) {
  // A login that ran out leads here too, and names the page to go back to: nothing is forgotten.
  await forgetAll(outbox).catch(() => {});
}
document.documentElement.dataset.left = "";
