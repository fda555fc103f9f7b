/**
 * When a good seller runs low on the table and there is more of it in the totes. Pure: works from
 * the counts that the device has, also without a network.
 *
 * Of the pieces at the stall it is known how many there are, not which stand on the table. The
 * seller says by a tap which totes are unpacked; as long as they said it of none, nothing is known.
 *
 * @typedef {import("./basket.js").Tile} Tile
 * @typedef {import("./log.js").Row} Row
 * @typedef {import("./outbox.js").Item} Item
 * @typedef {{packing_list: number, mark: string, is_out: boolean,
 *   pieces: {ware: string, grade: string, quantity: number}[]}} Tote
 * @typedef {{tile: Tile, table: number, packed: {mark: string, packing_list: number, quantity: number}[]}} Nudge
 */

// So few on the table are few, however slowly they go.
const FEW = 2;
// So many sold this weekend make a good seller.
const GOOD = 3;
const HOUR = 3600 * 1000;

/**
 * The totes as they are by the server's word and what was said here since.
 * @param {Tote[]} totes
 * @param {Item[]} items oldest first
 * @returns {Tote[]}
 */
export function standing(totes, items) {
  const said = new Map(
    items
      .filter((item) => item.kind === "totes" && item.state === "unsent")
      .map(({ document }) => [markOf(document.packing_list, document.tote), document.is_out]),
  );
  return totes.map((tote) => ({ ...tote, is_out: said.get(markOf(tote.packing_list, tote.mark)) ?? tote.is_out }));
}

/** @param {number} list @param {string} mark */
const markOf = (list, mark) => `${list} ${mark}`;

/**
 * What to bring out now, the best seller first.
 *
 * A ware is a good seller by what went this weekend, and low where two or fewer stand on the
 * table, or fewer than were sold in the last hour. Of a ware that sold more than stood outside the
 * totes, the rest came out of one of them: then none is on the table.
 * @param {Tile[]} tiles what is left, less what is sold here
 * @param {Tote[]} totes
 * @param {{rows: Row[], before: Record<string, number>, now: Date}} sold the day's rows, and the
 *   pieces of each ware on the weekend's earlier days
 * @returns {Nudge[]}
 */
export function nudges(tiles, totes, { rows, before, now }) {
  if (!totes.some((tote) => tote.is_out)) return [];
  const day = soldOf(rows);
  const hour = soldOf(rows.filter((row) => Date.parse(row.at) > now.getTime() - HOUR));
  const found = [];
  for (const tile of tiles.filter((each) => each.grade === "first")) {
    const here = tile.left + tile.held;
    const packed = packedOf(tile, totes, here);
    const table = here - packed.reduce((all, each) => all + each.quantity, 0);
    const gone = (day.get(tile.name) ?? 0) + (before[tile.ware] ?? 0);
    const isLow = table <= FEW || table < (hour.get(tile.name) ?? 0);
    if (packed.length && gone >= GOOD && isLow) found.push({ tile, table, packed, gone });
  }
  return found.sort((a, b) => b.gone - a.gone || a.table - b.table).map(({ tile, table, packed }) => ({ tile, table, packed }));
}

/** @param {Tile} tile @param {Tote[]} totes @param {number} here how many pieces there are at all */
function packedOf(tile, totes, here) {
  let room = here;
  const packed = [];
  for (const tote of totes.filter((each) => !each.is_out)) {
    const all = tote.pieces.filter((each) => each.ware === tile.ware && each.grade === tile.grade);
    const quantity = Math.min(room, all.reduce((sum, each) => sum + each.quantity, 0));
    room -= quantity;
    if (quantity) packed.push({ mark: tote.mark, packing_list: tote.packing_list, quantity });
  }
  return packed;
}

/** @param {Row[]} rows @returns {Map<string, number>} the pieces sold, by name */
function soldOf(rows) {
  /** @type {Map<string, number>} */
  const sold = new Map();
  for (const row of rows.filter((each) => !each.undone)) {
    for (const [at, name] of row.names.entries()) sold.set(name, (sold.get(name) ?? 0) + (row.quantities[at] ?? 1));
  }
  return sold;
}

/**
 * A nudge in words: "Tumbler, tenmoku: 2 left on the table, 6 more in tote 3".
 * @param {Nudge} nudge
 */
export function inWords({ tile, table, packed }) {
  const [first, ...rest] = packed.map(({ mark, quantity }) => ({ quantity, mark: `in tote ${mark}` }));
  const more = [`${first.quantity} more ${first.mark}`, ...rest.map((each) => `${each.quantity} ${each.mark}`)];
  return `${tile.name}: ${table} left on the table, ${more.join(", ")}`;
}
