/**
 * Handing unsent sales over as a file: from a device that can't send to one that can.
 *
 * @typedef {import("./outbox.js").Outbox} Outbox
 * @typedef {import("./outbox.js").Item} Item
 */

import { isSettled } from "./keeping.js";
import { asCalledNow } from "./outbox.js";

const FORMAT = "wareboard.handover";

/**
 * The file's text: every item that the server does not have.
 * @param {Item[]} items
 * @param {Date} now
 */
export function asText(items, now) {
  const open = items.filter((item) => !isSettled(item));
  return JSON.stringify({ format: FORMAT, version: 1, written_at: now.toISOString(), items: open }, null, 1);
}

/**
 * The items of a file, all of them unsent; an Error with a sentence where it is no such file.
 * @param {string} text
 * @returns {Item[]}
 */
export function fromText(text) {
  let file;
  try {
    file = JSON.parse(text);
  } catch {
    throw new Error("This is no file of sales: it can't be read. Nothing was taken in.");
  }
  if (file?.format !== FORMAT || file.version !== 1 || !Array.isArray(file.items) || !file.items.map(asCalledNow).every(isItem)) {
    throw new Error("This is no file of sales handed over. Nothing was taken in.");
  }
  return file.items.map((/** @type {Item} */ item) => ({ ...asCalledNow(item), state: "unsent", number: null, reason: "" }));
}

/** @param {any} item */
const isItem = (item) =>
  typeof item?.key === "string" && /^[0-9a-f]{32}$/.test(item.key) && item.document?.key === item.key &&
  ["sales", "undoings", "totes", "commissions"].includes(item.kind) && typeof item.at === "string";

/**
 * Give the unsent sales to the device's own downloads.
 * @param {Item[]} items
 * @param {string} device
 */
export function download(items, device) {
  const now = new Date();
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([asText(items, now)], { type: "application/json" }));
  link.download = `sales ${device} ${now.toISOString().slice(0, 16).replace(":", "")}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/**
 * Put a file's items into this device's outbox; what it has already stays as it is.
 * @param {Outbox} outbox
 * @param {File} file
 * @returns {Promise<number>} how many are new here
 */
export async function takeIn(outbox, file) {
  const items = fromText(await file.text());
  const had = new Set((await outbox.all()).map((item) => item.key));
  const fresh = items.filter((item) => !had.has(item.key));
  for (const item of fresh) await outbox.put(item);
  return fresh.length;
}
