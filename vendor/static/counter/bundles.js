/**
 * Bundles: so many pieces of one form (or ware) for one price, like three for 21.00. Pure.
 *
 * @typedef {import("./basket.js").Line} Line
 * @typedef {{id: number, name: string, form: string, ware: string, quantity: number, price: number}} Bundle
 */

import { split } from "./reckoning.js";

/**
 * The lines with what the bundles take off them, and why.
 *
 * Only firsts at the price on the tag are bundled, the dearest first, and each piece once; a bundle
 * that would cost more than its pieces is passed over.
 * @param {Line[]} lines
 * @param {Bundle[]} bundles
 * @returns {Line[]}
 */
export function bundled(lines, bundles) {
  const left = lines.map((line) => (isPlain(line) ? line.quantity : 0));
  const off = lines.map(() => 0);
  /** @type {string[][]} */
  const names = lines.map(() => []);
  for (const bundle of bundles) {
    for (;;) {
      const taken = take(lines, left, bundle);
      if (!taken) break;
      const prices = taken.map((count, at) => count * lines[at].tile.price);
      const saved = prices.reduce((all, one) => all + one, 0) - bundle.price;
      if (saved <= 0) break;
      const parts = split(saved, prices);
      for (const [at, count] of taken.entries()) {
        left[at] -= count;
        off[at] += parts[at];
        if (count && !names[at].includes(bundle.name)) names[at].push(bundle.name);
      }
    }
  }
  return lines.map((line, at) =>
    off[at] ? { ...line, discount: { amount: off[at], rate_ppm: 0 }, reason: names[at].join(", ").slice(0, 120) } : line,
  );
}

/** @param {Line} line */
const isPlain = (line) =>
  line.tile.grade === "first" && line.unit_price === null && !line.discount.amount && !line.discount.rate_ppm;

/**
 * How many of each line go into one bundle, or null where there are too few.
 * @param {Line[]} lines
 * @param {number[]} left
 * @param {Bundle} bundle
 */
function take(lines, left, bundle) {
  const order = lines
    .map((_, at) => at)
    .filter((at) => belongs(lines[at], bundle))
    .sort((a, b) => lines[b].tile.price - lines[a].tile.price || a - b);
  const taken = lines.map(() => 0);
  let wanted = bundle.quantity;
  for (const at of order) {
    taken[at] = Math.min(left[at], wanted);
    wanted -= taken[at];
  }
  return wanted === 0 ? taken : null;
}

/** @param {Line} line @param {Bundle} bundle */
const belongs = (line, bundle) =>
  bundle.ware ? line.tile.ware === bundle.ware : line.tile.form_code === bundle.form;
