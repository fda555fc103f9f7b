/**
 * A commission taken at the stall: what is asked, the document that comes of it, and the day's list.
 *
 * @typedef {import("./outbox.js").Item} Item
 * @typedef {{name: string, contact: string, piece: string, choices: string, due: string, price: string,
 *   deposit: string, way: string, note: string}} Filled what stands in the fields
 * @typedef {{customer: {name: string, contact: string}, piece: {form: string, ware: string, name: string},
 *   choices: string, note: string, due_on: string | null, price: number,
 *   deposit: {method: string, amount: number} | null}} Ordered
 * @typedef {{number: number | null, what: string, told: string[], slip: string, at: string, waits: string}} Row
 */

import { bare, parsed, written } from "./money.js";
import { byId, make } from "./dom.js";
import { filled } from "./pricing.js";
import { newKey } from "./keys.js";
import { waitsFor } from "./log.js";
import { clockOf } from "./days.js";

// What the server takes at most for a piece, in minor units.
const MOST = 100_000_000_000;
const FIELDS = ["name", "contact", "piece", "choices", "due", "price", "deposit", "way", "note"];

/** @param {any} sheet @returns {{code: string, name: string, kind: "form" | "ware"}[]} what can be ordered */
export function pieces(sheet) {
  const wares = sheet.tiles.filter((/** @type {any} */ tile) => tile.grade === "first");
  return [
    ...(sheet.forms ?? []).map((/** @type {any} */ each) => ({ kind: /** @type {const} */ ("form"), ...each })),
    ...wares.map((/** @type {any} */ tile) => ({ kind: /** @type {const} */ ("ware"), code: tile.ware, name: tile.name })),
  ];
}

/**
 * What was ordered, of what stands in the fields; or a sentence that says what is wrong with it.
 * @param {Filled} given
 * @param {any} sheet
 * @returns {Ordered | string}
 */
export function ordered(given, sheet) {
  const piece = pieces(sheet).find((each) => `${each.kind}:${each.code}` === given.piece);
  const price = parsed(given.price, sheet);
  const deposit = given.deposit.trim() ? parsed(given.deposit, sheet) : 0;
  if (!given.name.trim()) return "Who is it for? A commission needs a name.";
  if (!piece) return "Choose a form or a ware: what is it?";
  if (!price) return `Write the price that was agreed, like ${bare(4500, { ...sheet, exponent: 2 })}.`;
  if (deposit === null) return "Write the deposit with digits, or leave it empty.";
  if (price > MOST) return "That is a high price: look for a slip of the keys.";
  if (given.due && !/^20\d\d-/.test(given.due)) return "Look at the year in which it is due.";
  if (deposit > price) return "The deposit is more than the price.";
  return {
    customer: { name: given.name.trim(), contact: given.contact.trim() },
    piece: { form: piece.kind === "form" ? piece.code : "", ware: piece.kind === "ware" ? piece.code : "", name: piece.name },
    choices: given.choices.trim(),
    note: given.note.trim(),
    due_on: given.due || null,
    price,
    deposit: deposit ? { method: given.way, amount: deposit } : null,
  };
}

/**
 * The commission document (see vendor/counter/commission_document.py).
 * @param {Ordered} told
 * @param {any} sheet
 * @param {{device: string, at: Date, later?: boolean, key?: string}} more
 */
export function documentOf(told, sheet, { device, at, later = false, key = newKey() }) {
  return {
    format: "wareboard.commission",
    version: 1,
    key,
    fair: sheet.fair,
    taken_at: at.toISOString(),
    device,
    currency: sheet.terms.currency,
    ...told,
    ...(later ? { entered_later: true } : {}),
  };
}

/**
 * Ask for a commission; null where the seller went back.
 * @param {any} sheet
 * @returns {Promise<Ordered | null>}
 */
export async function ask(sheet) {
  const option = (/** @type {any} */ each) => make("option", { value: `${each.kind}:${each.code}` }, each.name);
  const all = pieces(sheet);
  byId("order-piece").replaceChildren(
    make("option", { value: "" }, "Choose one"),
    make("optgroup", { label: "A form, the rest in words" }, ...all.filter((each) => each.kind === "form").map(option)),
    make("optgroup", { label: "A ware" }, ...all.filter((each) => each.kind === "ware").map(option)));
  for (const field of FIELDS) byId(`order-${field}`).value = field === "way" ? "cash" : "";
  /** @type {Ordered | null} */
  let told = null;
  await filled("order", () => {
    const given = /** @type {Filled} */ (Object.fromEntries(FIELDS.map((field) => [field, byId(`order-${field}`).value])));
    const found = ordered(given, sheet);
    if (typeof found === "string") return found;
    told = found;
    return "";
  });
  // Who the customer is stays in the document alone.
  for (const field of FIELDS) if (field !== "way") byId(`order-${field}`).value = "";
  return told;
}

/**
 * What was ordered this day: what the server has, and what is still here; the latest first.
 * @param {any[]} theirs
 * @param {Item[]} items
 * @param {any} sheet
 * @returns {Row[]}
 */
export function rows(theirs, items, sheet) {
  const had = new Set(theirs.map((each) => each.key));
  const ours = items.filter((item) => item.kind === "commissions" && item.state !== "taken" && !had.has(item.key));
  const waiting = ours.map((item) => ({
    number: null, what: item.what || "A commission", at: item.at, slip: "", waits: waitsFor(item),
    told: item.received ? [`deposit ${written(item.received, sheet)}`] : [],
  }));
  const known = theirs.map((each) => ({
    number: each.number, what: each.what, at: each.at, slip: each.slip, waits: "",
    told: [each.deposit ? `deposit ${written(each.deposit, sheet)} ${each.method}` : "no deposit", each.seller].filter(Boolean),
  }));
  return [...waiting, ...known].sort((a, b) => Date.parse(b.at) - Date.parse(a.at));
}

/** @param {Row[]} list @param {any} sheet */
export function show(list, sheet) {
  const time = clockOf(sheet);
  byId("orders").hidden = list.length === 0;
  byId("order-list").replaceChildren(...list.map((row) => {
    const head = row.number === null ? row.what : `Promise ${row.number}: ${row.what}`;
    const item = make("li", {}, make("span", {}, head),
      make("span", { class: "why" }, [time.format(new Date(row.at)), ...row.told].join(" · ")));
    if (row.waits) item.append(make("span", { class: "why state warn" }, row.waits));
    if (row.slip) item.append(make("span", { class: "acts" }, make("a", { class: "btn plain", href: row.slip, "aria-label": `Slip of promise ${row.number}` }, "Slip")));
    return item;
  }));
}
