/**
 * The day so far: takings by the hour, how they were paid, and what is nearly gone. Pure, but for
 * `show`.
 *
 * @typedef {import("./log.js").Row} Row
 * @typedef {import("./basket.js").Tile} Tile
 * @typedef {{ware: string, grade: string, back: boolean, at: string}} Turn
 */

import { bare, written } from "./money.js";
import { byId, make, plural } from "./dom.js";
import { clockOf } from "./days.js";

const NEARLY = 2;

/**
 * What was taken in each hour of the day, from the first with a sale to the last.
 * @param {Row[]} rows
 * @param {string} zone the studio's time zone
 * @returns {{hour: number, taken: number, sales: number}[]}
 */
export function byHour(rows, zone) {
  const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", hourCycle: "h23", timeZone: zone });
  /** @type {Map<number, {hour: number, taken: number, sales: number}>} */
  const hours = new Map();
  for (const row of rows.filter((each) => !each.undone)) {
    const hour = Number(clock.format(new Date(row.at)));
    const so = hours.get(hour) ?? { hour, taken: 0, sales: 0 };
    hours.set(hour, { hour, taken: so.taken + row.received, sales: so.sales + 1 });
  }
  if (hours.size === 0) return [];
  const first = Math.min(...hours.keys());
  const last = Math.max(...hours.keys());
  return Array.from({ length: last - first + 1 }, (_, at) => hours.get(first + at) ?? { hour: first + at, taken: 0, sales: 0 });
}

const LATELY = 2 * 3600 * 1000;
const FAVOURITES = 4;

/**
 * The names that were in most sales of the last two hours, the most sold first.
 * @param {Row[]} rows
 * @param {Date} now
 * @returns {string[]}
 */
export function favourites(rows, now) {
  /** @type {Map<string, number>} */
  const sales = new Map();
  for (const row of rows) {
    if (row.undone || Date.parse(row.at) < now.getTime() - LATELY) continue;
    for (const name of new Set(row.names)) sales.set(name, (sales.get(name) ?? 0) + 1);
  }
  return [...sales].sort((a, b) => b[1] - a[1]).map(([name]) => name).slice(0, FAVOURITES);
}

/**
 * What was sold this day and of which few are left: time to put the last ones in sight.
 * @param {Tile[]} tiles
 * @param {Set<string>} sold names of what was sold this day
 */
export function nearlyGone(tiles, sold) {
  return tiles.filter((tile) => tile.grade === "first" && tile.left <= NEARLY && sold.has(tile.name));
}

/**
 * What sold out this day and since when: by the counts that the server has, else by the last sale
 * of it that is still on this device.
 * @param {Tile[]} gone
 * @param {Row[]} rows the latest first
 * @param {Turn[]} turns
 */
export function soldOut(gone, rows, turns) {
  return gone.filter((tile) => tile.left === 0).map((tile) => {
    const turn = lastTurn(tile, turns);
    const sale = rows.find((row) => !row.undone && row.names.includes(tile.name));
    return { name: tile.name, at: turn && !turn.back ? turn.at : sale?.at ?? "" };
  }).filter((each) => each.at);
}

/**
 * What had sold out this day and is there again, and since when.
 * @param {Tile[]} tiles
 * @param {Turn[]} turns
 */
export function backAgain(tiles, turns) {
  return tiles.flatMap((tile) => {
    const turn = tile.left > 0 ? lastTurn(tile, turns) : undefined;
    return turn?.back ? [{ name: tile.name, at: turn.at }] : [];
  });
}

/** @param {Tile} tile @param {Turn[]} turns @returns {Turn | undefined} */
const lastTurn = (tile, turns) =>
  turns.filter((turn) => turn.ware === tile.ware && turn.grade === tile.grade).pop();

/**
 * @param {Row[]} rows
 * @param {Tile[]} tiles
 * @param {any} sheet
 */
export function show(rows, tiles, sheet) {
  const hours = byHour(rows, sheet.time_zone);
  const most = Math.max(1, ...hours.map((each) => each.taken));
  byId("by-hour").replaceChildren(...hours.map((each) => hourRow(each, most, sheet)));
  byId("by-hour").hidden = hours.length === 0;
  const sold = new Set(rows.filter((row) => !row.undone).flatMap((row) => row.names));
  const gone = nearlyGone(tiles, sold);
  const few = gone.filter((tile) => tile.left > 0).map((tile) => `${tile.name} (${tile.left} left)`);
  const time = clockOf(sheet);
  const told = (/** @type {{name: string, at: string}} */ each) => `${each.name} (${time.format(new Date(each.at))})`;
  const out = soldOut(gone, rows, sheet.turns ?? []).map(told);
  const back = backAgain(tiles, sheet.turns ?? []).map(told);
  byId("nearly").hidden = gone.length + back.length === 0;
  byId("nearly").textContent = [
    few.length ? `Nearly gone: ${few.join("; ")}.` : "",
    out.length ? `Sold out: ${out.join("; ")}.` : "",
    back.length ? `Back on the table: ${back.join("; ")}.` : "",
  ].join(" ");
  const left = tiles.reduce((all, tile) => all + tile.left + tile.held, 0);
  byId("all-left").textContent = `${plural(left, "piece")} on the stall.`;
}

/** @param {{hour: number, taken: number, sales: number}} so @param {number} most @param {any} sheet */
function hourRow(so, most, sheet) {
  const bar = make("meter", { min: 0, max: most, value: so.taken, "aria-hidden": "true" });
  return make("li", {}, make("span", {}, `${so.hour}–${so.hour + 1}`), bar,
    make("span", { class: "n", title: written(so.taken, sheet) }, bare(so.taken, sheet)),
    make("span", { class: "quiet small" }, plural(so.sales, "sale")));
}
