/**
 * What a line, or the whole sale, costs other than by the tag: the sheets that ask for it.
 *
 * @typedef {import("./reckoning.js").Discount} Discount
 */

import { bare, parsed } from "./money.js";
import { MILLION, NO_DISCOUNT } from "./reckoning.js";
import { asked, byId } from "./dom.js";

/**
 * A discount as it was typed: an amount, or with a sign a percentage; null for anything else.
 * @param {string} text
 * @param {any} purse
 * @returns {Discount | null}
 */
export function discountOf(text, purse) {
  const typed = text.trim();
  if (!typed) return NO_DISCOUNT;
  if (!typed.endsWith("%")) {
    const amount = parsed(typed, purse);
    return amount === null ? null : { amount, rate_ppm: 0 };
  }
  const percent = parsed(typed.slice(0, -1), { ...purse, exponent: 4 });
  return percent === null || percent > MILLION ? null : { amount: 0, rate_ppm: percent };
}

/** @param {Discount} discount @param {any} purse */
export function typedDiscount(discount, purse) {
  if (discount.rate_ppm) return `${discount.rate_ppm / 10_000}%`;
  return discount.amount ? bare(discount.amount, purse) : "";
}

/**
 * Ask for a line's own price and discount, and change the line.
 * @param {import("./basket.js").Line} line
 * @param {any} sheet
 */
export async function askLine(line, sheet) {
  const { tile } = line;
  byId("price-title").textContent = tile.name;
  byId("price-tag").textContent = `On the tag: ${bare(tile.price, sheet)} a piece.`;
  byId("price-each").value = line.unit_price === null ? "" : bare(line.unit_price, sheet);
  byId("price-off").value = typedDiscount(line.discount, sheet);
  byId("price-why").value = line.reason;
  await filled("price", () => {
    const each = byId("price-each").value.trim();
    const unit = each ? parsed(each, sheet) : null;
    const discount = discountOf(byId("price-off").value, sheet);
    const reason = byId("price-why").value.trim();
    const own = unit !== null && unit !== tile.price;
    if ((each && unit === null) || !discount) return "Write amounts with digits, and a per cent with its sign: 5.00 or 10%.";
    if (own && !reason) return "Say why the price is not that on the tag: a word or two is enough.";
    if (discount.amount > (unit ?? tile.price) * line.quantity) return "The discount is larger than what it is taken off.";
    Object.assign(line, { unit_price: own ? unit : null, discount, reason });
    return "";
  });
}

/**
 * Ask for a discount on the whole sale and for a note, and change the sale.
 * @param {import("./basket.js").Basket} basket
 * @param {any} sheet
 */
export async function askWhole(basket, sheet) {
  byId("whole-off").value = typedDiscount(basket.discount, sheet);
  byId("whole-why").value = basket.discountReason;
  byId("whole-note").value = basket.note;
  await filled("whole", () => {
    const discount = discountOf(byId("whole-off").value, sheet);
    if (!discount) return "Write an amount with digits, and a per cent with its sign: 5.00 or 10%.";
    basket.discount = discount;
    basket.discountReason = byId("whole-why").value.trim();
    basket.note = byId("whole-note").value.trim();
    return "";
  });
}

/**
 * Keep asking until what was filled in is right, or the seller goes back.
 * @param {string} id
 * @param {() => string} wrong takes what was filled in; says what is wrong with it
 */
export async function filled(id, wrong) {
  const told = byId(`${id}-wrong`);
  told.hidden = true;
  while ((await asked(byId(id))) === "take") {
    told.textContent = wrong();
    told.hidden = !told.textContent;
    if (told.hidden) return;
  }
}
