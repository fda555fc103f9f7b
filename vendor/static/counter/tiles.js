/**
 * The ware on the stall as pots on a plank, and finding one by letters or by its code.
 *
 * @typedef {import("./basket.js").Tile} Tile
 * @typedef {import("./basket.js").Basket} Basket
 */

import { bare } from "./money.js";
import { spotOf } from "./basket.js";
import { byId, drawing, make } from "./dom.js";

// So many are on the plank without being asked for: with every one more a tap is answered later.
const MOST = 120;
let isWhole = false;

/** @param {string} text */
const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

/** @param {string} text */
const words = (text) => plain(text).split(/\s+/).filter(Boolean);

/**
 * Whether every word that was typed stands in the tile's name or code.
 * @param {Tile} tile
 * @param {string} typed
 */
export function matches(tile, typed) {
  const told = plain(`${tile.name} ${tile.ware} ${tile.grade === "second" ? "second" : ""}`);
  return words(typed).every((word) => told.includes(word));
}

/**
 * The tile that a scanned or typed text means: the code's own, the article number's, else the only
 * one that matches.
 * @param {Tile[]} tiles
 * @param {string} typed
 * @returns {Tile | null}
 */
export function meant(tiles, typed) {
  const code = typed.trim().toUpperCase();
  // The tag of a second has a hyphen more than the ware's own code.
  const [ware, grade] = code.endsWith("-") ? [code.slice(0, -1), "second"] : [code, "first"];
  const exact = tiles.find((tile) => tile.ware === ware && tile.grade === grade) ??
    tiles.find((tile) => tile.ware === ware) ??
    numbered(tiles, code);
  if (exact) return exact;
  const found = tiles.filter((tile) => matches(tile, typed));
  const firsts = found.filter((tile) => tile.grade === "first");
  const one = firsts.length === 1 ? firsts : found;
  return one.length === 1 ? one[0] : null;
}

/** @param {Tile[]} tiles @param {string} code */
function numbered(tiles, code) {
  if (!/^\d{12,13}$/.test(code)) return undefined;
  // A reader gives a number of twelve digits as it is, or with the zero that makes it thirteen.
  return tiles.find((tile) => tile.number === code.padStart(13, "0"));
}

/**
 * The documents of the sales that the server does not have yet and that still stand: what an unsent
 * sale sold is back as soon as it is undone.
 * @param {import("./outbox.js").Item[]} items
 * @returns {any[]}
 */
export function stillSold(items) {
  const undone = new Set(items.filter((item) => item.kind === "undoings" && item.state !== "refused").map((item) => item.document.sale));
  const sold = items.filter((item) => item.kind === "sales" && item.state === "unsent" && !undone.has(item.key));
  return sold.map((item) => item.document);
}

/**
 * What is left of each tile, less what is sold and not yet known to the server.
 * @param {Tile[]} tiles
 * @param {any[]} documents sale documents that are still unsent
 * @returns {Tile[]}
 */
export function afterUnsent(tiles, documents) {
  /** @type {Map<string, number>} */
  const gone = new Map();
  for (const line of documents.flatMap((document) => document.lines)) {
    gone.set(spotOf(line), (gone.get(spotOf(line)) ?? 0) + line.quantity);
  }
  return tiles.map((tile) => ({ ...tile, left: Math.max(0, tile.left - (gone.get(spotOf(tile)) ?? 0)) }));
}

/**
 * Show the tiles that match; without a search those that stand on the stall.
 * @param {Tile[]} tiles
 * @param {Basket} basket
 * @param {string} typed
 * @param {any} purse
 * @param {{first?: string[], low?: import("./nudging.js").Nudge[]}} now names of what sells now, to
 *   stand first, and what runs low on the table
 */
export function show(tiles, basket, typed, purse, { first = [], low = [] }) {
  const searching = words(typed).length > 0;
  const shown = tiles.filter((tile) => {
    const isThere = tile.left + tile.held > 0 || basket.count(tile) > 0;
    // Every ware can be found, in case a piece of it is in the hand; a second of it, on its line.
    return searching ? matches(tile, typed) && (isThere || tile.grade === "first") : isThere;
  });
  const rank = (/** @type {Tile} */ tile) => (tile.grade === "first" && first.includes(tile.name) ? first.indexOf(tile.name) : first.length);
  if (!searching) shown.sort((a, b) => rank(a) - rank(b));
  const pots = new Map(tiles.filter((tile) => tile.pot).map((tile) => [tile.ware, tile]));
  const lows = new Map(low.map((each) => [spotOf(each.tile), each]));
  const most = isWhole ? shown.length : MOST;
  byId("tiles-more").hidden = shown.length <= most;
  byId("tiles-more").textContent = `Show all ${shown.length}`;
  byId("tiles-more").onclick = () => {
    isWhole = true;
    show(tiles, basket, typed, purse, { first, low });
  };
  place(byId("tiles"), shown.slice(0, most).map((tile) => tileNode(tile, pots.get(tile.ware) ?? tile, basket, purse, lows.get(spotOf(tile)))));
  byId("none").hidden = shown.length > 0;
  byId("none-found").hidden = !searching;
  byId("none-there").hidden = searching;
  return shown;
}

/**
 * Put nodes into a list, touching as few of those that stand there as can be.
 * @param {HTMLElement} list
 * @param {HTMLElement[]} nodes
 */
function place(list, nodes) {
  const there = Array.from(list.children);
  const others = nodes.flatMap((node, at) => (node === there[at] ? [] : [at]));
  if (others.length === 0 && there.length === nodes.length) return;
  const focused = document.activeElement?.closest?.("#tiles button")?.getAttribute("data-spot");
  // Where some are only shown anew they take their own place; where the order is another, all do.
  if (there.length === nodes.length && !others.some((at) => nodes[at].isConnected)) for (const at of others) there[at].replaceWith(nodes[at]);
  else list.replaceChildren(...nodes);
  if (focused) /** @type {HTMLElement | null} */ (list.querySelector(`[data-spot="${CSS.escape(focused)}"]`))?.focus();
}

/** @type {Map<string, {as: string, node: HTMLElement}>} the tiles as they were made last, by piece */
const made = new Map();

/**
 * A tile's node: the one that was made before, unless it has to say something else.
 * @param {Tile} tile @param {Tile} drawn @param {Basket} basket @param {any} purse
 * @param {import("./nudging.js").Nudge} [low]
 */
function tileNode(tile, drawn, basket, purse, low) {
  const count = basket.count(tile);
  const left = Math.max(0, tile.left - count);
  const told = [
    tile.grade === "second" ? "second" : "",
    low ? `${Math.max(0, low.table - count)} on the table, ${low.packed.reduce((all, each) => all + each.quantity, 0)} in totes` : `${left} left`,
    tile.held ? `${tile.held} held` : "",
  ].filter(Boolean).join(" · ");
  const picture = drawn.photo || drawn.pot;
  const as = JSON.stringify([tile.form, tile.finish, tile.price, purse.language, told, count, picture]);
  const before = made.get(spotOf(tile));
  if (before?.as === as) return before.node;
  const node = tileButton(tile, drawn, count, told, purse);
  made.set(spotOf(tile), { as, node });
  return node;
}

/** @param {Tile} tile @param {Tile} drawn @param {number} count @param {string} told @param {any} purse @returns {HTMLElement} */
function tileButton(tile, drawn, count, told, purse) {
  const picture = drawn.photo ? make("img", { src: drawn.photo, alt: "", loading: "lazy" }) : drawing(drawn.pot);
  const name = make("span", { class: "name" }, tile.form);
  if (tile.finish) name.append(make("br"), tile.finish);
  const button = make("button", { type: "button", "data-spot": spotOf(tile) },
    picture, name,
    make("span", { class: "price" }, bare(tile.price, purse)),
    make("span", { class: "left" }, told));
  if (count) {
    button.append(make("span", { class: "count" }, String(count), make("span", { class: "hid" }, " in this sale")));
  }
  return make("li", tile.grade === "second" ? { class: "flawed" } : {}, button);
}
