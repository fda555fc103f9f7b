/**
 * Reads a Code 128 barcode from one line of brightness, for browsers without a reader of their own.
 *
 * The table of widths is that of ISO/IEC 15417. Characters are told apart by the distances between
 * like edges, which ink that spread does not change, and by the widths themselves where those
 * agree. Pure: a line of pixels in, a text or null out.
 */

const WIDTHS = (
  "212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 " +
  "122231 113222 123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 " +
  "322112 322211 212123 212321 232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 " +
  "112133 112331 132131 113123 113321 133121 313121 211331 231131 213113 213311 213131 311123 311321 " +
  "331121 312113 312311 332111 314111 221411 431111 111224 111422 121124 121421 141122 141221 112214 " +
  "112412 122114 122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241 114212 " +
  "124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 114311 411113 " +
  "411311 113141 114131 311141 411131 211412 211214 211232"
)
  .split(" ")
  .map((widths) => [...widths].map(Number));
const STOP = [2, 3, 3, 1, 1, 1, 2];
const [START_A, START_B, START_C] = [103, 104, 105];
const [SHIFT, TO_C, TO_B, TO_A, FNC1] = [98, 99, 100, 101, 102];
const MODULES = 11;
// How far a character's edges may lie from where they should, in modules, all added up.
const TOLERANCE = 2.4;

export { WIDTHS };

/**
 * The text of the barcode that a line of pixels runs through, or null.
 * @param {ArrayLike<number>} line brightness, 0 to 255, from left to right
 * @returns {string | null}
 */
export function readLine(line) {
  return eitherWay(runsOf(line), readRuns);
}

/**
 * Read stretches from their one end, else from the other: a tag may hang upside down.
 * @param {number[]} runs
 * @param {(runs: number[]) => string | null} read
 */
export const eitherWay = (runs, read) => read(runs) ?? read([...runs].reverse());

/**
 * The widths of dark and light stretches in turn, the first and last being light, to a fraction
 * of a pixel.
 * @param {ArrayLike<number>} line
 */
export function runsOf(line) {
  const level = threshold(line);
  const runs = [];
  let [edge, dark] = [0, false];
  for (let at = 1; at < line.length; at += 1) {
    const [before, after] = [line[at - 1] - level[at - 1], line[at] - level[at]];
    if (after < 0 === dark) continue;
    const crossing = at - 1 + (before === after ? 0.5 : before / (before - after));
    runs.push(crossing - edge);
    [edge, dark] = [crossing, !dark];
  }
  runs.push(line.length - edge);
  return runs.length % 2 ? runs : [...runs, 0];
}

/**
 * Halfway between the darkest and the brightest nearby: light falls unevenly on a tag.
 * @param {ArrayLike<number>} line
 */
function threshold(line) {
  const reach = Math.max(8, Math.round(line.length / 12));
  return Array.from({ length: line.length }, (_, at) => {
    let [low, high] = [255, 0];
    for (let near = Math.max(0, at - reach); near < Math.min(line.length, at + reach); near += 1) {
      low = Math.min(low, line[near]);
      high = Math.max(high, line[near]);
    }
    // A stretch without contrast is all light.
    return high - low < 40 ? -1 : (low + high) / 2;
  });
}

/**
 * The text of the first barcode among stretches that begin with a light one, or null.
 * @param {number[]} runs
 */
export function readRuns(runs) {
  for (let at = 1; at + 12 < runs.length; at += 2) {
    const start = character(runs, at);
    if (start === null || start < START_A) continue;
    const unit = total(runs, at, 6) / MODULES;
    if (runs[at - 1] < 5 * unit) continue;
    const text = readFrom(runs, at + 6, start);
    if (text !== null) return text;
  }
  return null;
}

/** @param {number[]} runs @param {number} at @param {number} start */
function readFrom(runs, at, start) {
  const values = [start];
  for (; at + 6 < runs.length; at += 6) {
    if (isStop(runs, at)) return values.length > 2 && isChecked(values) ? textOf(values.slice(0, -1)) : null;
    const value = character(runs, at);
    if (value === null) return null;
    values.push(value);
  }
  return null;
}

/** @param {number[]} runs @param {number} from @param {number} count */
export const total = (runs, from, count) => {
  let sum = 0;
  for (let at = from; at < from + count; at += 1) sum += runs[at];
  return sum;
};

/** @param {number[]} runs @param {number} at */
function character(runs, at) {
  const unit = total(runs, at, 6) / MODULES;
  let [best, least] = [-1, TOLERANCE];
  for (const [value, widths] of WIDTHS.entries()) {
    const far = distance(runs, at, widths, unit);
    if (far < least) [best, least] = [value, far];
  }
  return best < 0 ? null : best;
}

/** @param {number[]} runs @param {number} at */
function isStop(runs, at) {
  if (at + 7 > runs.length) return false;
  return distance(runs, at, STOP, total(runs, at, 7) / 13) < TOLERANCE;
}

/** @param {number[]} runs @param {number} at @param {number[]} widths @param {number} unit */
export function distance(runs, at, widths, unit) {
  let far = 0;
  for (let each = 0; each < widths.length - 1; each += 1) {
    far += Math.abs((runs[at + each] + runs[at + each + 1]) / unit - widths[each] - widths[each + 1]);
    far += 0.25 * Math.abs(runs[at + each] / unit - widths[each]);
  }
  return far;
}

/** @param {number[]} values the start, the characters, the check character */
function isChecked(values) {
  const sum = values.slice(0, -1).reduce((all, value, at) => all + value * Math.max(1, at), 0);
  return sum % 103 === values[values.length - 1];
}

/** @param {number[]} values the start and the characters */
function textOf(values) {
  let set = { [START_A]: "A", [START_B]: "B", [START_C]: "C" }[values[0]];
  let text = "";
  for (let at = 1; at < values.length; at += 1) {
    const value = values[at];
    if (set === "C" && value < 100) text += String(value).padStart(2, "0");
    else if (value === FNC1) continue;
    else if (value === SHIFT && set !== "C") text += letter(values[(at += 1)], set === "A" ? "B" : "A");
    else if (value === TO_C) set = "C";
    else if (value === TO_B) set = "B";
    else if (value === TO_A) set = "A";
    else text += letter(value, set ?? "B");
  }
  return text;
}

/** @param {number} value @param {string} set */
const letter = (value, set) =>
  value > 95 ? "" : String.fromCharCode(set === "A" && value >= 64 ? value - 64 : value + 32);
