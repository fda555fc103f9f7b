/**
 * Amounts as people write and read them, in the studio's currency and language.
 *
 * @typedef {{currency: string, exponent: number, language: string, notes: number[]}} Purse
 */

/**
 * An amount of minor units with its currency: “$36.47”.
 * @param {number} minor
 * @param {Purse} purse
 */
export function written(minor, purse) {
  return format(minor, purse, { style: "currency", currency: purse.currency });
}

/**
 * An amount without its currency: “36.47”.
 * @param {number} minor
 * @param {Purse} purse
 */
export function bare(minor, purse) {
  return format(minor, purse, {});
}

/** @param {number} minor @param {Purse} purse @param {Intl.NumberFormatOptions} how */
function format(minor, purse, how) {
  const digits = { minimumFractionDigits: purse.exponent, maximumFractionDigits: purse.exponent };
  return new Intl.NumberFormat(purse.language, { ...how, ...digits }).format(minor / 10 ** purse.exponent);
}

/**
 * The minor units that a person typed, or null where it can't be only one amount.
 *
 * A point and a comma both stand before the decimals: a phone's number pad often has just one.
 * @param {string} text
 * @param {Purse} purse
 * @returns {number | null}
 */
export function parsed(text, purse) {
  const found = /^(\d{1,9})(?:[.,](\d+))?$/.exec(text.trim());
  if (!found) return null;
  const [, whole, part = ""] = found;
  if (part.length > purse.exponent) return null;
  return Number(whole) * 10 ** purse.exponent + Number(part.padEnd(purse.exponent, "0") || 0);
}

/**
 * The sums that a customer is likely to hand over, the exact one first, ascending: at 34.00 the
 * next multiples of notes, 40.00, 50.00, 100.00. Few notes make each of them.
 * @param {number} due
 * @param {Purse} purse
 * @param {number} [limit]
 */
export function likelyTenders(due, purse, limit = 4) {
  const notes = purse.notes;
  if (due <= 0 || notes.length === 0) return [];
  const few = Math.floor(due / notes[notes.length - 1]) + 2;
  const up = new Set(notes.map((note) => Math.ceil(due / note) * note));
  up.delete(due);
  const likely = [...up].filter((each) => howMany(each, notes) <= few).sort((a, b) => a - b);
  return [due, ...likely].slice(0, limit);
}

/** @param {number} amount @param {number[]} notes */
function howMany(amount, notes) {
  let count = 0;
  for (const note of [...notes].sort((a, b) => b - a)) {
    count += Math.floor(amount / note);
    amount %= note;
  }
  return count;
}
