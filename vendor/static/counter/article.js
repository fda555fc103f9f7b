/**
 * Reads the bars of an article number (EAN-13, UPC-A) from stretches of dark and light, for browsers
 * without a reader of their own.
 *
 * The table of widths is that of ISO/IEC 15420. Pure: stretches in, thirteen digits or null out.
 */

import { distance, total } from "./code128.js";

// The left-hand digits with odd parity; those with even parity are the same, read backwards.
const ODD = [
  [3, 2, 1, 1], [2, 2, 2, 1], [2, 1, 2, 2], [1, 4, 1, 1], [1, 1, 3, 2],
  [1, 2, 3, 1], [1, 1, 1, 4], [1, 3, 1, 2], [1, 2, 1, 3], [3, 1, 1, 2],
];
const EVEN = ODD.map((widths) => [...widths].reverse());
// The first of the thirteen digits has no bars: the parities of the six after it tell it.
const PARITIES = "000000 001011 001101 001110 010011 011001 011100 010101 010110 011010".split(" ");
const EDGE = [1, 1, 1];
const MIDDLE = [1, 1, 1, 1, 1];
const [SIDE, WHOLE, MODULES] = [24, 59, 95];
// The least blank at both ends, in modules: less than is printed, as a hand may hide some of it.
const BLANK = 5;
// How far a digit's edges may lie from where they should, in modules, all added up.
const TOLERANCE = 1.6;

export { ODD, EVEN, PARITIES };

/**
 * The thirteen digits of the first article number among stretches that begin with a light one.
 * @param {number[]} runs
 * @returns {string | null}
 */
export function readNumber(runs) {
  for (let at = 1; at + WHOLE < runs.length; at += 2) {
    const unit = total(runs, at, WHOLE) / MODULES;
    if (Math.min(runs[at - 1], runs[at + WHOLE]) < BLANK * unit) continue;
    const number = isFramed(runs, at, unit) ? digitsFrom(runs, at) : null;
    if (number !== null) return number;
  }
  return null;
}

/** @param {number[]} runs @param {number} at @param {number} unit */
function isFramed(runs, at, unit) {
  const middle = at + EDGE.length + SIDE;
  return distance(runs, at, EDGE, unit) < TOLERANCE &&
    distance(runs, middle, MIDDLE, unit) < TOLERANCE &&
    distance(runs, at + WHOLE - EDGE.length, EDGE, unit) < TOLERANCE;
}

/** @param {number[]} runs @param {number} at */
function digitsFrom(runs, at) {
  const left = at + EDGE.length;
  const right = left + SIDE + MIDDLE.length;
  let [digits, parities] = ["", ""];
  for (let place = 0; place < 6; place += 1) {
    const [odd, even] = [nearest(runs, left + 4 * place, ODD), nearest(runs, left + 4 * place, EVEN)];
    const best = odd.far <= even.far ? odd : even;
    if (best.far > TOLERANCE) return null;
    digits += best.digit;
    parities += best === odd ? "0" : "1";
  }
  for (let place = 0; place < 6; place += 1) {
    const { digit, far } = nearest(runs, right + 4 * place, ODD);
    if (far > TOLERANCE) return null;
    digits += digit;
  }
  const first = PARITIES.indexOf(parities);
  const number = `${first}${digits}`;
  return first >= 0 && isChecked(number) ? number : null;
}

/** @param {number[]} runs @param {number} at @param {number[][]} table */
function nearest(runs, at, table) {
  const unit = total(runs, at, 4) / 7;
  let best = { digit: 0, far: Infinity };
  for (const [digit, widths] of table.entries()) {
    const far = distance(runs, at, widths, unit);
    if (far < best.far) best = { digit, far };
  }
  return best;
}

/** @param {string} number */
function isChecked(number) {
  const sum = [...number].reduce((all, digit, at) => all + Number(digit) * (at % 2 ? 3 : 1), 0);
  return sum % 10 === 0;
}
