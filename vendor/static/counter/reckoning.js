/**
 * The reckoning of a sale on the page: the same figures as the server's, to the minor unit.
 *
 * Held to the server by fixtures/reckonings.json. Amounts are whole minor units, rates are parts
 * per million; what may pass 2^53 on the way is a BigInt. Pure: knows no page and no network.
 *
 * @typedef {{amount: number, rate_ppm: number}} Discount
 * @typedef {{list_price: number, quantity: number, unit_price: number | null, discount: Discount}} Item
 * @typedef {{tax_rate_ppm: number, tax_included: boolean, tax_rounding: "line" | "receipt",
 *   cash_step: number}} Terms
 * @typedef {{method: "cash" | "card" | "other", amount: number | null, tendered: number | null}} Tender
 * @typedef {{quantity: number, list_price: number, unit_price: number, list_total: number,
 *   price_total: number, line_discount: number, sale_discount: number, discount: number,
 *   net: number, tax: number, total: number}} LineFigures
 * @typedef {{method: string, settled: number, rounding: number, amount: number, tendered: number,
 *   change: number}} PaymentFigures
 * @typedef {{lines: LineFigures[], pieces: number, list_total: number, price_total: number,
 *   line_discount: number, sale_discount: number, discount: number, net: number, tax: number,
 *   total: number, payments: PaymentFigures[], paid: number, cash_rounding: number,
 *   received: number, left: number, left_in_cash: number}} Reckoning
 */

export const MILLION = 1_000_000;
export const MAX_MINOR = 10 ** 12 - 1;
export const MAX_QUANTITY = 9_999;
/** @type {Discount} */
export const NO_DISCOUNT = Object.freeze({ amount: 0, rate_ppm: 0 });

const SENTENCES = {
  AmountOutOfRange: "A price or the total is below zero or far too large. Look for a slip of the keys.",
  QuantityOutOfRange: "A line sells from 1 to 9,999 pieces. Mend the quantity, or take the line off.",
  DiscountOutOfRange: "A discount is larger than what it is taken off. Make it smaller.",
  Overpaid: "The payments come to more than the sale. Lower one; cash given back is change.",
  PaymentUnclear: "The payments are not clear: each needs its amount, and at most one is in cash.",
  TooLittleTendered: "That is less than what is due. Take the rest in cash, or by card.",
};

/** A sale that can't be reckoned as it stands: `rule` is the server's name for why. */
export class Refused extends Error {
  /** @param {keyof typeof SENTENCES} rule */
  constructor(rule) {
    super(SENTENCES[rule]);
    this.name = "Refused";
    this.rule = rule;
  }
}

/**
 * Every figure of a sale; with too few payments yet, `left` is above zero.
 * @param {Item[]} items
 * @param {Terms} terms
 * @param {{discount?: Discount, payments?: Tender[]}} [more]
 * @returns {Reckoning}
 */
export function reckon(items, terms, more = {}) {
  const { discount = NO_DISCOUNT, payments = [] } = more;
  for (const item of items) check(item);
  const prices = items.map((item) => item.quantity * unitPrice(item));
  if (sum(prices) > MAX_MINOR || sum(items.map((i) => i.quantity * i.list_price)) > MAX_MINOR) {
    throw new Refused("AmountOutOfRange");
  }
  const offLines = items.map((item, at) => discountOn(prices[at], item.discount));
  const asked = prices.map((price, at) => price - offLines[at]);
  const offSale = split(discountOn(sum(asked), discount), asked);
  const taxed = taxLines(asked.map((price, at) => price - offSale[at]), terms);
  const lines = items.map((item, at) => line(item, offLines[at], offSale[at], taxed[at]));
  const total = sum(lines.map((each) => each.total));
  if (total > MAX_MINOR) throw new Refused("AmountOutOfRange");
  return totals(lines, settle(payments, total, terms), terms);
}

/**
 * The nearest multiple of `step`; a half goes away from zero.
 * @param {number} amount
 * @param {number} step
 */
export function roundCash(amount, step) {
  return halfUp(BigInt(amount), BigInt(step)) * step;
}

/**
 * Whole parts of an amount that sum to it exactly, by largest remainder, an earlier part first.
 * @param {number} amount
 * @param {number[]} weights
 */
export function split(amount, weights) {
  const whole = BigInt(sum(weights));
  if (whole === 0n) return weights.map(() => 0);
  const shares = weights.map((weight) => BigInt(amount) * BigInt(weight));
  const parts = shares.map((share) => Number(share / whole));
  const remainders = shares.map((share) => share % whole);
  const order = weights.map((_, at) => at).sort((a, b) => compare(remainders[b], remainders[a]) || a - b);
  for (const at of order.slice(0, amount - sum(parts))) parts[at] += 1;
  return parts;
}

/** @param {bigint} a @param {bigint} b */
const compare = (a, b) => (a < b ? -1 : a > b ? 1 : 0);

/** @param {number[]} numbers */
const sum = (numbers) => numbers.reduce((all, one) => all + one, 0);

/** @param {bigint} numerator @param {bigint} denominator */
function halfUp(numerator, denominator) {
  const size = numerator < 0n ? -numerator : numerator;
  const rounded = Number((2n * size + denominator) / (2n * denominator));
  return numerator < 0n ? -rounded : rounded;
}

/** @param {number} amount @param {number} rate */
const shareOf = (amount, rate) => halfUp(BigInt(amount) * BigInt(rate), BigInt(MILLION));

/** @param {Item} item */
const unitPrice = (item) => item.unit_price ?? item.list_price;

/** @param {Item} item */
function check(item) {
  if (!(item.quantity >= 1 && item.quantity <= MAX_QUANTITY)) throw new Refused("QuantityOutOfRange");
  for (const price of [item.list_price, unitPrice(item)]) {
    if (!(price >= 0 && price <= MAX_MINOR)) throw new Refused("AmountOutOfRange");
  }
}

/** @param {number} price @param {Discount} discount */
function discountOn(price, discount) {
  const { amount, rate_ppm } = discount;
  if (!(rate_ppm >= 0 && rate_ppm <= MILLION && amount >= 0)) throw new Refused("DiscountOutOfRange");
  const off = shareOf(price, rate_ppm) + amount;
  if (off > price) throw new Refused("DiscountOutOfRange");
  return off;
}

/** @param {number} amount @param {Terms} terms */
function taxOn(amount, terms) {
  if (!terms.tax_included) return shareOf(amount, terms.tax_rate_ppm);
  const rate = BigInt(terms.tax_rate_ppm);
  return halfUp(BigInt(amount) * rate, BigInt(MILLION) + rate);
}

/** @param {number[]} amounts @param {Terms} terms */
function taxLines(amounts, terms) {
  const byLine = terms.tax_rounding === "line";
  const taxes = byLine ? amounts.map((each) => taxOn(each, terms)) : split(taxOn(sum(amounts), terms), amounts);
  return amounts.map((amount, at) => ({
    net: terms.tax_included ? amount - taxes[at] : amount,
    tax: taxes[at],
  }));
}

/**
 * @param {Item} item
 * @param {number} offLine
 * @param {number} offSale
 * @param {{net: number, tax: number}} taxed
 * @returns {LineFigures}
 */
function line(item, offLine, offSale, taxed) {
  return {
    quantity: item.quantity,
    list_price: item.list_price,
    unit_price: unitPrice(item),
    list_total: item.quantity * item.list_price,
    price_total: item.quantity * unitPrice(item),
    line_discount: offLine,
    sale_discount: offSale,
    discount: offLine + offSale,
    net: taxed.net,
    tax: taxed.tax,
    total: taxed.net + taxed.tax,
  };
}

/** @param {Tender[]} payments @param {number} total @param {Terms} terms */
function settle(payments, total, terms) {
  const fixed = sum(payments.map((payment) => payment.amount ?? 0));
  const rests = payments.filter((payment) => payment.amount === null).length;
  const cash = payments.filter((payment) => payment.method === "cash").length;
  if (rests > 1 || cash > 1 || payments.some((payment) => (payment.amount ?? 0) < 0)) {
    throw new Refused("PaymentUnclear");
  }
  if (fixed > total) throw new Refused("Overpaid");
  return payments.map((payment) => pay(payment, payment.amount ?? total - fixed, terms));
}

/**
 * @param {Tender} payment
 * @param {number} settled
 * @param {Terms} terms
 * @returns {PaymentFigures}
 */
function pay(payment, settled, terms) {
  const isCash = payment.method === "cash";
  const handed = payment.tendered;
  if (handed !== null && !(isCash && handed >= 0 && handed <= MAX_MINOR)) throw new Refused("PaymentUnclear");
  const amount = isCash ? roundCash(settled, terms.cash_step) : settled;
  const tendered = handed ?? amount;
  if (tendered < amount) throw new Refused("TooLittleTendered");
  return { method: payment.method, settled, rounding: amount - settled, amount, tendered, change: tendered - amount };
}

/** @param {LineFigures[]} lines @param {PaymentFigures[]} payments @param {Terms} terms */
function totals(lines, payments, terms) {
  /** @param {keyof LineFigures} name */
  const over = (name) => sum(lines.map((each) => each[name]));
  const total = over("total");
  const paid = sum(payments.map((each) => each.settled));
  return {
    lines,
    pieces: over("quantity"),
    list_total: over("list_total"),
    price_total: over("price_total"),
    line_discount: over("line_discount"),
    sale_discount: over("sale_discount"),
    discount: over("discount"),
    net: over("net"),
    tax: over("tax"),
    total,
    payments,
    paid,
    cash_rounding: sum(payments.map((each) => each.rounding)),
    received: sum(payments.map((each) => each.amount)),
    left: total - paid,
    left_in_cash: roundCash(total - paid, terms.cash_step),
  };
}
