/**
 * The sale that is being rung up, and the document that comes of it. Pure: knows no page.
 *
 * @typedef {import("./reckoning.js").Discount} Discount
 * @typedef {import("./reckoning.js").Terms} Terms
 * @typedef {{id: number, label: string, quantity: number}} HeldFor
 * @typedef {{ware: string, grade: string, number: string, name: string, form: string, form_code: string,
 *   finish: string, price: number, left: number, held: number, holds: HeldFor[], pot: string, photo: string}} Tile
 * @typedef {{tile: Tile, quantity: number, unit_price: number | null, discount: Discount,
 *   reason: string}} Line
 * @typedef {{method: "cash" | "card" | "other", settles: number | null, tip: number,
 *   tendered: number | null}} Paid
 * @typedef {import("./bundles.js").Bundle} Bundle
 */

import { bundled } from "./bundles.js";
import { NO_DISCOUNT, reckon } from "./reckoning.js";
import { newKey } from "./keys.js";

/** @param {{ware: string, grade: string}} piece */
export const spotOf = (piece) => `${piece.ware} ${piece.grade}`;

export class Basket {
  /** @param {Bundle[]} [bundles] the rules that hold today */
  constructor(bundles = []) {
    this.bundles = bundles;
    /** @type {Line[]} */
    this.lines = [];
    /** @type {Discount} */
    this.discount = NO_DISCOUNT;
    this.discountReason = "";
    this.note = "";
    /** @type {Set<number>} the holds that the seller chose to end */
    this.overridden = new Set();
    /** @type {Set<string>} the pieces of which the seller said that none is a held one */
    this.notTheHeld = new Set();
  }

  get isEmpty() {
    return this.lines.length === 0;
  }

  get pieces() {
    return this.lines.reduce((all, line) => all + line.quantity, 0);
  }

  /**
   * How many of a piece are in the basket.
   * @param {{ware: string, grade: string}} piece
   */
  count(piece) {
    const spot = spotOf(piece);
    return this.lines.filter((line) => spotOf(line.tile) === spot).reduce((all, line) => all + line.quantity, 0);
  }

  /**
   * One piece more, on the line that it already has.
   * @param {Tile} tile
   */
  add(tile) {
    const spot = spotOf(tile);
    const line = this.lines.find((each) => spotOf(each.tile) === spot);
    if (line) line.quantity += 1;
    else this.lines.push({ tile, quantity: 1, unit_price: null, discount: NO_DISCOUNT, reason: "" });
  }

  /**
   * Set a line's quantity; at nought the line goes.
   * @param {Line} line
   * @param {number} quantity
   */
  set(line, quantity) {
    line.quantity = quantity;
    if (quantity <= 0) this.lines = this.lines.filter((each) => each !== line);
    if (this.isEmpty) Object.assign(this, new Basket(this.bundles));
  }

  /**
   * Sell one piece of a line in another grade instead.
   * @param {Line} line
   * @param {Tile} other
   */
  regrade(line, other) {
    this.add(other);
    this.set(line, line.quantity - 1);
  }

  /**
   * Whether one piece more may be a held one, and nobody has yet said what it is.
   * @param {Tile} tile
   */
  mayBeHeld(tile) {
    if (this.notTheHeld.has(spotOf(tile)) || tile.held === 0) return false;
    const freed = tile.holds.filter((hold) => this.overridden.has(hold.id));
    const free = tile.left + freed.reduce((all, hold) => all + hold.quantity, 0);
    return this.count(tile) + 1 > free && free < tile.left + tile.held;
  }

  /** The holds that the sale ends: those chosen, as far as the pieces that are still in it need them. */
  ended() {
    return this.lines.flatMap(({ tile, quantity }) => {
      let over = quantity - tile.left;
      return tile.holds
        .filter((hold) => this.overridden.has(hold.id))
        .filter((hold) => {
          const needed = over > 0;
          over -= hold.quantity;
          return needed;
        })
        .map((hold) => hold.id);
    });
  }

  /** The lines, with what the bundles take off them. */
  priced() {
    return bundled(this.lines, this.bundles);
  }

  /**
   * Every figure of the sale so far.
   * @param {Terms} terms
   * @param {Paid[]} [payments]
   */
  reckoned(terms, payments = []) {
    const items = this.priced().map((line) => ({
      list_price: line.tile.price,
      quantity: line.quantity,
      unit_price: line.unit_price,
      discount: line.discount,
    }));
    const tenders = payments.map((paid) => ({
      method: paid.method,
      amount: paid.settles,
      tendered: paid.tendered === null ? null : paid.tendered - paid.tip,
    }));
    return reckon(items, terms, { discount: this.discount, payments: tenders });
  }

  /**
   * The sale document (see vendor/counter/document.py): what was sold, as the seller saw it.
   * @param {{fair: number, terms: Terms & {currency: string}}} sheet
   * @param {Paid[]} payments
   * @param {{device: string, at: Date, later?: boolean, key?: string}} more `later`: entered from
   *   paper, at a moment that no clock of a device told
   */
  document(sheet, payments, { device, at, later = false, key = newKey() }) {
    const sums = this.reckoned(sheet.terms, payments);
    const ended = this.ended();
    const isOther = this.lines.some((line) => this.notTheHeld.has(spotOf(line.tile)));
    const spoken = {
      ...(ended.length ? { overridden: ended } : {}),
      ...(isOther ? { not_the_held: true } : {}),
      ...(later ? { entered_later: true } : {}),
    };
    return {
      format: "wareboard.sale",
      version: 1,
      key,
      fair: sheet.fair,
      sold_at: at.toISOString(),
      device,
      terms: sheet.terms,
      lines: this.priced().map((line) => ({
        ware: line.tile.ware,
        grade: line.tile.grade,
        name: line.tile.name,
        quantity: line.quantity,
        list_price: line.tile.price,
        unit_price: line.unit_price,
        discount: line.discount,
        reason: line.reason,
      })),
      discount: this.discount,
      discount_reason: this.discountReason,
      payments: payments.map((paid, at) => ({
        method: paid.method,
        settles: sums.payments[at].settled,
        tip: paid.tip,
        tendered: paid.tendered,
      })),
      figures: {
        discount: sums.discount,
        net: sums.net,
        tax: sums.tax,
        total: sums.total,
        cash_rounding: sums.cash_rounding,
        change: sums.payments.reduce((all, each) => all + each.change, 0),
      },
      note: this.note,
      ...spoken,
    };
  }
}
