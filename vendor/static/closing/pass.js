/**
 * One pass of counting, piece by piece, as its device keeps it. Pure: knows no page.
 *
 * Every scan has a key of its own and stays here until the server has answered it; what is sent
 * twice counts once. What could not be told apart is kept too: codes that nothing has, and pieces
 * of which somebody else has counted the same.
 *
 * @typedef {{key: string, ware: number, grade: string, hold: number | null, undoes: string,
 *   beside: string}} Scan
 * @typedef {{key: string, kind: string, where: string}} Going
 * @typedef {{going: Going, unsent: Scan[], sent: string[], mine: Record<string, number>,
 *   done: Scan[], unknown: Record<string, number>, asked: Record<string, string>,
 *   told: string[]}} Kept
 * @typedef {{key: string, outcome: string, reason: string}} Answer
 */

import { newKey } from "../counter/keys.js";

const AT_ONCE = 50;
const REMEMBERED = 500;

/** @param {{ware: number, grade: string}} piece */
export const spotOf = (piece) => `${piece.ware} ${piece.grade}`;

/** @param {Going} going @param {Record<string, number>} [mine] @returns {Kept} */
export const begun = (going, mine = {}) => ({ going, unsent: [], sent: [], mine, done: [], unknown: {}, asked: {}, told: [] });

export class Pass {
  /** @param {Kept} kept @param {(kept: Kept) => void} keep called after every change */
  constructor(kept, keep) {
    this.kept = kept;
    this.keep = () => keep(this.kept);
    this.keep();
  }

  /**
   * One piece more.
   * @param {{ware: number, grade: string}} piece
   * @param {number | null} [hold] the hold whose piece it is
   */
  add({ ware, grade }, hold = null) {
    const scan = { key: newKey(), ware, grade, hold, undoes: "", beside: "" };
    this.kept.unsent.push(scan);
    this.kept.done = [...this.kept.done, scan].slice(-REMEMBERED);
    this.keep();
    return scan;
  }

  /** Take the last piece back that has not been taken back; null where there is none. */
  undo() {
    const last = this.kept.done.pop();
    if (!last) return null;
    const waiting = this.kept.unsent.findIndex((scan) => scan.key === last.key);
    // What may have reached the server is undone there; what has not is as if it had never been.
    if (waiting >= 0 && !this.kept.sent.includes(last.key)) this.kept.unsent.splice(waiting, 1);
    else this.kept.unsent.push({ ...last, key: newKey(), hold: null, undoes: last.key, beside: "" });
    this.forget();
    this.keep();
    return last;
  }

  /**
   * How many of a ware and grade this pass has counted.
   * @param {string} spot
   */
  figure(spot) {
    const waiting = this.kept.unsent.filter((scan) => spotOf(scan) === spot);
    return (this.kept.mine[spot] ?? 0) + waiting.reduce((sum, scan) => sum + (scan.undoes ? -1 : 1), 0);
  }

  /**
   * How many of a held piece this device has counted.
   * @param {number} hold
   */
  seen(hold) {
    return this.kept.done.filter((scan) => scan.hold === hold).length;
  }

  /** The ware and grades that this pass has counted anything of. */
  get spots() {
    const all = new Set([...Object.keys(this.kept.mine), ...this.kept.unsent.map(spotOf)]);
    return [...all].filter((spot) => this.figure(spot) > 0);
  }

  /** All pieces of this pass. */
  get pieces() {
    return this.spots.reduce((sum, spot) => sum + this.figure(spot), 0);
  }

  /** The scans to send next: those that wait for no answer of the person. */
  batch() {
    const ready = this.kept.unsent.filter((scan) => !(spotOf(scan) in this.kept.asked)).slice(0, AT_ONCE);
    this.kept.sent = [...new Set([...this.kept.sent, ...ready.map((scan) => scan.key)])];
    this.keep();
    return ready;
  }

  /**
   * What the server said of each scan, and how many this pass has by now of what was touched.
   * @param {Answer[]} answers
   * @param {Record<string, number>} mine
   */
  answered(answers, mine) {
    for (const { key, outcome, reason } of answers) {
      const scan = this.kept.unsent.find((each) => each.key === key);
      if (!scan) continue;
      this.kept.sent = this.kept.sent.filter((each) => each !== key);
      if (outcome === "asked") {
        this.kept.asked[spotOf(scan)] = reason;
        continue;
      }
      this.kept.unsent = this.kept.unsent.filter((each) => each !== scan);
      if (outcome !== "refused") continue;
      this.kept.done = this.kept.done.filter((each) => each.key !== key);
      this.kept.told.push(reason);
    }
    Object.assign(this.kept.mine, mine);
    this.keep();
  }

  /**
   * How pieces stand to what others counted of them: elsewhere too, or counted again.
   * @param {string} spot
   * @param {string} how
   */
  say(spot, how) {
    delete this.kept.asked[spot];
    for (const scan of this.kept.unsent) if (spotOf(scan) === spot && !scan.undoes) scan.beside = how;
    this.keep();
  }

  /**
   * Keep a code that nothing has, with how often it came.
   * @param {string} code
   */
  missed(code) {
    this.kept.unknown[code] = (this.kept.unknown[code] ?? 0) + 1;
    this.keep();
  }

  /** @param {string} code */
  putAside(code) {
    delete this.kept.unknown[code];
    this.keep();
  }

  /** @param {string} reason */
  read(reason) {
    this.kept.told = this.kept.told.filter((each) => each !== reason);
    this.keep();
  }

  /** Whether there is nothing here that the server does not have. */
  get isSent() {
    return this.kept.unsent.length === 0;
  }

  /** A question with no piece left to ask about is none. */
  forget() {
    const waiting = new Set(this.kept.unsent.map(spotOf));
    for (const spot of Object.keys(this.kept.asked)) if (!waiting.has(spot)) delete this.kept.asked[spot];
  }
}
