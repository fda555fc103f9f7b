/** What the page knows of this device: its name, whether it starts offline, its file of sales. */

import { download, takeIn } from "./handover.js";
import { byId, plural } from "./dom.js";
import { isSettled } from "./keeping.js";
import { newKey } from "./keys.js";

const NAME = "wareboard-device";

/** What this device calls itself on the sales that it takes. */
export function deviceName() {
  try {
    const kept = localStorage.getItem(NAME) || `device ${newKey().slice(0, 4)}`;
    localStorage.setItem(NAME, kept);
    return kept.slice(0, 40);
  } catch {
    return "";
  }
}

/**
 * Let the page start without a network, where the browser allows it, and say whether it does.
 * @param {string} address of the service worker
 */
export async function startOffline(address) {
  const told = byId("starts");
  try {
    if (!navigator.serviceWorker) throw new Error("not over this address");
    await navigator.serviceWorker.register(address, { scope: new URL(".", new URL(address, location.href)).pathname });
    await navigator.serviceWorker.ready;
    told.textContent = "This page opens without a signal.";
    told.className = "state good";
  } catch {
    told.textContent =
      "This page can't be opened without a signal: keep it open. Over https with a trusted certificate it could.";
    told.className = "state warn";
  }
  // Ask the browser not to clear the sales away when it runs out of room.
  await navigator.storage?.persist?.();
}

/**
 * @param {import("./outbox.js").Outbox} outbox
 * @param {{changed: () => Promise<void>, say: (text: string) => void}} page
 */
export function wire(outbox, { changed, say }) {
  byId("device-name").value = deviceName();
  byId("device-name").addEventListener("change", () => {
    localStorage.setItem(NAME, byId("device-name").value.trim().slice(0, 40));
    byId("device-name").value = deviceName();
  });
  byId("hand-over").addEventListener("click", async () => download(await outbox.all(), deviceName()));
  byId("take-in").addEventListener("change", async () => {
    const [file] = byId("take-in").files;
    if (!file) return;
    try {
      const fresh = await takeIn(outbox, file);
      say(fresh ? `${plural(fresh, "entry", "entries")} taken in.` : "Everything in that file is here already.");
    } catch (error) {
      say(/** @type {Error} */ (error).message);
    }
    byId("take-in").value = "";
    await changed();
  });
}

/** @param {import("./outbox.js").Item[]} items */
export function show(items) {
  const open = items.filter((item) => !isSettled(item));
  const what = open.every((item) => item.kind === "sales") ? plural(open.length, "sale") : plural(open.length, "entry", "entries");
  byId("hand-over").disabled = open.length === 0;
  byId("hand-over").textContent = open.length ? `Save ${what} to a file` : "Nothing to save";
}
