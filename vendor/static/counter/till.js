/**
 * The running total under the thumb: the lines of this sale, what they come to, the last sale.
 *
 * @typedef {import("./basket.js").Basket} Basket
 * @typedef {import("./basket.js").Line} Line
 * @typedef {{add: (tile: any) => void, set: (line: Line, quantity: number) => void,
 *   regrade: (line: Line) => void, price: (line: Line) => void}} Acts
 */

import { bare, written } from "./money.js";
import { Refused } from "./reckoning.js";
import { byId, make, plural } from "./dom.js";

/**
 * Show the sale so far.
 * @param {Basket} basket
 * @param {any} sheet
 * @param {Acts} acts
 */
export function show(basket, sheet, acts) {
  const priced = basket.priced();
  byId("sale-lines").replaceChildren(...basket.lines.map((line, at) => lineRow(line, priced[at], sheet, acts)));
  byId("sale").hidden = byId("sale-acts").hidden = basket.isEmpty;
  byId("last").hidden = !basket.isEmpty || !byId("last").dataset.key;
  byId("idle").hidden = !basket.isEmpty || !byId("last").hidden;
  for (const id of ["cash", "card"]) byId(id).disabled = basket.isEmpty;
  byId("wrong").hidden = true;
  if (basket.isEmpty) return fold(true);
  try {
    const sums = basket.reckoned(sheet.terms);
    byId("total").textContent = written(sums.total, sheet);
    byId("told").textContent = inWords(sums, sheet);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    byId("total").textContent = "—";
    tellWrong(error.message);
    for (const id of ["cash", "card"]) byId(id).disabled = true;
  }
}

/**
 * Say above the sale's lines what is wrong with it.
 * @param {string} text
 */
export function tellWrong(text) {
  byId("wrong").textContent = text;
  byId("wrong").hidden = false;
}

/** @param {boolean} folded whether the lines above the total are */
export function fold(folded) {
  byId("open-sale").setAttribute("aria-expanded", String(!folded));
  byId("lines").hidden = folded && !wide.matches;
}

const wide = globalThis.matchMedia?.("(min-width: 60rem)") ?? { matches: false };

/** @param {import("./reckoning.js").Reckoning} sums @param {any} sheet */
function inWords(sums, sheet) {
  const told = [plural(sums.pieces, "piece")];
  if (sums.discount) told.push(`less ${bare(sums.discount, sheet)}`);
  if (sums.tax) told.push(`${sheet.terms.tax_included ? "with" : "plus"} ${bare(sums.tax, sheet)} tax`);
  return told.join(", ");
}

/** @param {Line} line @param {Line} priced the line with its bundles @param {any} sheet @param {Acts} acts */
function lineRow(line, priced, sheet, acts) {
  const { tile } = line;
  const other = sheet.tiles.find((/** @type {any} */ each) => each.ware === tile.ware && each.grade !== tile.grade);
  const name = tile.grade === "second" ? `${tile.name} (second)` : tile.name;
  const stepper = make("span", { class: "stepper", role: "group", "aria-label": `How many: ${name}` },
    make("button", { type: "button", "aria-label": `One fewer: ${name}`, onclick: () => acts.set(line, line.quantity - 1) }, "−1"),
    make("output", { class: "many" }, String(line.quantity)),
    make("button", { type: "button", "aria-label": `One more: ${name}`, onclick: () => acts.add(tile) }, "+1"));
  const row = make("li", {},
    make("span", { class: "what" }, name, make("span", { class: "why" }, priceInWords(priced, sheet))),
    make("span", { class: "n" }, bare((line.unit_price ?? tile.price) * line.quantity, sheet)),
    make("span", { class: "acts" }, stepper));
  const more = row.querySelector(".acts");
  more.append(make("button", { type: "button", class: "btn plain", onclick: () => acts.price(line) }, "Price…"));
  if (other) {
    const grade = tile.grade === "second" ? "It is a first" : "It is a second";
    more.append(make("button", { type: "button", class: "btn plain", onclick: () => acts.regrade(line) }, grade));
  }
  return row;
}

/** @param {Line} line @param {any} sheet */
function priceInWords(line, sheet) {
  const each = bare(line.unit_price ?? line.tile.price, sheet);
  const told = [line.unit_price === null ? `${each} each` : `${each} each, on the tag ${bare(line.tile.price, sheet)}`];
  if (line.discount.amount) told.push(`less ${bare(line.discount.amount, sheet)}`);
  if (line.discount.rate_ppm) told.push(`less ${line.discount.rate_ppm / 10_000} %`);
  if (line.reason) told.push(line.reason);
  return told.join(" · ");
}

/**
 * Say that a sale is taken, and what goes back to the customer.
 * @param {any} document
 * @param {any} sheet
 */
export function showTaken(document, sheet) {
  const { figures, payments } = document;
  const cash = payments.find((/** @type {any} */ each) => each.method === "cash");
  const got = written(figures.total + figures.cash_rounding, sheet);
  const ways = payments.map((/** @type {import("./basket.js").Paid} */ each) => ({ cash: "in cash", card: "by card", other: "another way" })[each.method]);
  byId("last").dataset.key = document.key;
  byId("last-figure").textContent = cash && figures.change ? `Change ${written(figures.change, sheet)}` : "Taken";
  byId("last-told").textContent = `Sold for ${got}${ways.length ? ` ${ways.join(" and ")}` : ""}`;
}

/** Forget the last sale: it was undone, or a new one begins. */
export function forgetLast() {
  delete byId("last").dataset.key;
}
