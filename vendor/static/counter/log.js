/**
 * The day's running list: what the server has, and what is still on this device.
 *
 * @typedef {import("./outbox.js").Item} Item
 * @typedef {{key: string, number: number | null, at: string, what: string, received: number,
 *   told: string[], waits: string, undone: string, receipt: string,
 *   names: string[], quantities: number[], isTheirs: number | null, mayUndo: boolean}} Row
 */

import { bare, written } from "./money.js";
import { byId, make, plural } from "./dom.js";
import { clockOf } from "./days.js";

// So many rows are made without being asked for: each takes its time, and after every sale anew.
const SHOWN = 60;
let isWhole = false;

/**
 * The rows of a day, the latest first: the server's, and this device's that it does not have yet.
 * @param {any[]} sales the server's rows
 * @param {Item[]} items
 * @returns {Row[]}
 */
export function rows(sales, items) {
  const undone = new Map(
    items
      .filter((item) => item.kind === "undoings" && (item.state === "unsent" || item.state === "taken"))
      .map((item) => [item.document.sale, item.document.reason]),
  );
  const refused = new Map(
    items.filter((item) => item.kind === "undoings" && item.state === "refused").map((item) => [item.document.sale, item.reason]),
  );
  const had = new Set(sales.map((sale) => sale.key));
  const ours = items.filter((item) => item.kind === "sales" && item.state !== "taken" && !had.has(item.key));
  const theirs = sales.map((sale) => ({
    key: sale.key,
    number: sale.number,
    at: sale.sold_at,
    what: sale.what,
    received: sale.received,
    told: [
      ...sale.methods,
      sale.found ? `${sale.found} found` : "",
      sale.by_count ? "by count" : "",
      sale.seller,
    ].filter(Boolean),
    waits: refused.has(sale.key) && !sale.undone ? `Not undone: ${refused.get(sale.key)}` : "",
    isTheirs: sale.seller_id,
    mayUndo: true,
    receipt: sale.receipt,
    names: sale.names,
    quantities: sale.quantities,
    undone: sale.undone || undone.get(sale.key) || "",
  }));
  const waiting = ours.map((item) => ({
    key: item.key,
    number: null,
    at: item.at,
    what: item.what,
    received: item.received,
    told: [],
    waits: waitsFor(item),
    isTheirs: null,
    mayUndo: item.state === "unsent" || item.state === "kept",
    receipt: "",
    names: (item.document.lines ?? []).map((/** @type {any} */ line) => line.name),
    quantities: (item.document.lines ?? []).map((/** @type {any} */ line) => line.quantity),
    undone: undone.get(item.key) ?? (item.state === "aside" ? item.reason || "no sale" : ""),
  }));
  return [...waiting, ...theirs].sort((a, b) => Date.parse(b.at) - Date.parse(a.at));
}

/** @param {Item} item */
export const waitsFor = (item) =>
  ({
    unsent: "On this device, not sent yet",
    kept: item.reason ? `Waits for the owner: ${item.reason}` : "Waits for the owner",
    aside: "Put aside by the owner: no sale",
  })[/** @type {string} */ (item.state)] ?? `Still on this device: ${item.reason}`;

/**
 * Show the list.
 * @param {Row[]} list
 * @param {any} sheet
 * @param {(row: Row) => void} undo
 */
export function show(list, sheet, undo) {
  const counted = list.filter((row) => !row.undone);
  const sum = counted.reduce((all, row) => all + row.received, 0);
  byId("log-sum").textContent = list.length
    ? `${plural(counted.length, "sale")}, ${written(sum, sheet)}`
    : "Nothing sold yet.";
  const shown = isWhole ? list : list.slice(0, SHOWN);
  const time = clockOf(sheet);
  byId("log").replaceChildren(...shown.map((row) => logRow(row, sheet, undo, time)));
  byId("log-more").hidden = shown.length === list.length;
  byId("log-more").textContent = `Show all ${list.length}`;
  byId("log-more").onclick = () => {
    isWhole = true;
    show(list, sheet, undo);
  };
}

/** @param {Row} row @param {any} sheet @param {(row: Row) => void} undo @param {Intl.DateTimeFormat} time */
function logRow(row, sheet, undo, time) {
  const told = [time.format(new Date(row.at)), ...row.told].join(" · ");
  const head = row.number === null ? row.what : `${row.number}: ${row.what}`;
  const item = make("li", row.undone ? { class: "undone" } : {},
    make("span", {}, head),
    make("span", { class: "n" }, bare(row.received, sheet)),
    make("span", { class: "why" }, told));
  if (row.waits) item.append(make("span", { class: "why state warn" }, row.waits));
  if (row.undone) item.append(make("span", { class: "why" }, `Undone: ${row.undone}`));
  const acts = make("span", { class: "acts" });
  const which = row.number === null ? "" : ` sale ${row.number}`;
  if (row.receipt) {
    acts.append(make("a", { class: "btn plain", href: row.receipt, "aria-label": `Receipt of${which}` }, "Receipt"));
  }
  const mayUndo = sheet.you.is_owner || row.isTheirs === null || row.isTheirs === sheet.you.id || sheet.sellers.length > 0;
  if (mayUndo && !row.undone && row.mayUndo) {
    acts.append(make("button", { type: "button", class: "btn plain", "aria-label": `Undo${which}`, onclick: () => undo(row) }, "Undo…"));
  }
  if (acts.children.length) item.append(acts);
  return item;
}
