/**
 * How little of a thing this device keeps in its storage: no names, no words that somebody wrote
 * about a customer, once the server has them. Pure.
 *
 * @typedef {import("./outbox.js").Item} Item
 */

const SETTLED = ["taken", "kept", "aside"];
// What stands for words that are at the server alone.
const ELSEWHERE = "the reason is in the books";

/**
 * Whether the server has all of an item, so that nothing of it has to be kept for sending.
 * @param {Item} item
 */
export const isSettled = (item) => SETTLED.includes(item.state);

/**
 * An item as the device keeps it: what the server has is cut down to its key, its number, what it
 * came to, and the pieces that an undoing would bring back.
 * @param {Item} item
 * @returns {Item}
 */
export function scrubbed(item) {
  if (!isSettled(item)) return item;
  const { key, kind, state, number, at, received } = item;
  const what = kind === "sales" || kind === "undoings" ? item.what : "";
  return { key, kind, state, number, at, received, what, reason: "", document: scrubbedDocument(item.kind, item.document) };
}

/** @param {string} kind @param {any} document */
function scrubbedDocument(kind, document) {
  if (kind === "undoings") return { key: document.key, sale: document.sale, reason: ELSEWHERE };
  const lines = (document.lines ?? []).map((/** @type {any} */ { ware, grade, name, quantity }) => ({ ware, grade, name, quantity }));
  return { key: document.key, fair: document.fair, lines };
}

/**
 * The stall's sheet as the device keeps it: all that a sale needs, people as numbers alone.
 * @param {any} sheet
 */
export function keptSheet(sheet) {
  const { vouched: _, ...rest } = sheet;
  return {
    ...rest,
    sellers: sheet.sellers.map((/** @type {any} */ each) => ({ id: each.id, name: "" })),
    sales: sheet.sales.map(keptRow),
    commissions: (sheet.commissions ?? []).map(keptOrder),
  };
}

/** @param {any} order a commission of the day's list */
function keptOrder({ key, number, what, at, slip, deposit, method }) {
  return { key, number, what, at, slip, seller: "", deposit, method };
}

/** @param {any} sale a row of the day's list */
function keptRow(sale) {
  const { key, number, receipt, sold_at, seller_id, what, names, quantities, received, methods, found, by_count } = sale;
  return { key, number, receipt, sold_at, seller: "", seller_id, what, names, quantities, received, methods, found, by_count, undone: sale.undone && ELSEWHERE };
}
