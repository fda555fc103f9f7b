/** Fetches the stall as it stands: its tiles, rules and day. */

import { ask } from "./sending.js";

/**
 * The pots are drawn once, and anew only for new ware.
 * @param {string} address @param {number | null} fair whose sheet to fetch, or the one of today
 * @param {any} had the sheet fetched before, or none yet
 */
export async function fetchSheet(address, fair, had) {
  const drawn = new Map(tilesOf(had).filter((tile) => tile.pot).map((tile) => [tile.ware, tile.pot]));
  const asking = (/** @type {string} */ pots) => ask(`${address}?${new URLSearchParams({ ...(fair === null ? {} : { fair: String(fair) }), pots })}`);
  const fresh = await asking(drawn.size ? "0" : "1");
  const firsts = tilesOf(fresh).filter((tile) => tile.grade === "first");
  if (drawn.size && !firsts.every((tile) => drawn.has(tile.ware))) return asking("1");
  for (const tile of firsts) tile.pot ||= drawn.get(tile.ware) ?? "";
  return fresh;
}

/** @param {any} of a sheet, or none yet @returns {import("./basket.js").Tile[]} */
const tilesOf = (of) => of?.tiles ?? [];
