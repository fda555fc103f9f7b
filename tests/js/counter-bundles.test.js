// Bundles on the lines of a sale, and the document that comes of it.
import assert from "node:assert/strict";
import { test } from "node:test";

import { Basket } from "../../vendor/static/counter/basket.js";

const terms = { currency: "USD", tax_rate_ppm: 0, tax_included: false, tax_rounding: "receipt", cash_step: 1 };
const bundle = { id: 1, name: "3 for 21.00", form: "THI", ware: "", quantity: 3, price: 2100 };
const tile = (ware, price, more = {}) => ({
  ware, grade: "first", name: ware, form: "", form_code: ware.slice(0, 3), finish: "",
  price, left: 99, held: 0, number: "", holds: [], pot: "", photo: "", ...more,
});
const fill = (basket, piece, count) => {
  for (let each = 0; each < count; each += 1) basket.add(piece);
};

test("three of a form cost what the bundle says, across its finishes", () => {
  const basket = new Basket([bundle]);
  fill(basket, tile("THI-SHI", 800), 2);
  fill(basket, tile("THI-ASH", 800), 1);
  fill(basket, tile("TUM-CEL", 3400), 1);
  const sums = basket.reckoned(terms);
  assert.equal(sums.total, 2100 + 3400);
  assert.deepEqual(sums.lines.map((line) => line.discount), [200, 100, 0]);
  assert.deepEqual(basket.priced().map((line) => line.reason), ["3 for 21.00", "3 for 21.00", ""]);
});

test("seven are two bundles and one at its price; the dearest are bundled", () => {
  const basket = new Basket([bundle]);
  fill(basket, tile("THI-SHI", 800), 5);
  fill(basket, tile("THI-BIG", 900), 2);
  // Dearest first: 900+900+800 and 800+800+800 for 21.00 each, one of 8.00 left over.
  assert.equal(basket.reckoned(terms).total, 2100 + 2100 + 800);
});

test("a second, an own price and a discounted line are not bundled", () => {
  const basket = new Basket([bundle]);
  fill(basket, tile("THI-SHI", 800), 3);
  basket.lines[0].unit_price = 700;
  assert.equal(basket.reckoned(terms).total, 2100);
  fill(basket, tile("THI-ASH", 500, { grade: "second" }), 3);
  assert.equal(basket.reckoned(terms).total, 2100 + 1500);
});

test("a bundle that costs more than its pieces is passed over", () => {
  const basket = new Basket([{ ...bundle, price: 2500 }]);
  fill(basket, tile("THI-SHI", 800), 3);
  assert.equal(basket.reckoned(terms).total, 2400);
});

test("the document holds the bundle as a discount with its reason", () => {
  const basket = new Basket([bundle]);
  fill(basket, tile("THI-SHI", 800), 3);
  const paid = [{ method: "cash", settles: null, tip: 0, tendered: 5000 }];
  const made = basket.document({ fair: 1, terms }, paid, { device: "x", at: new Date(0) });
  assert.deepEqual(made.lines[0].discount, { amount: 300, rate_ppm: 0 });
  assert.equal(made.lines[0].reason, "3 for 21.00");
  assert.equal(made.figures.change, 2900);
  assert.match(made.key, /^[0-9a-f]{32}$/);
});
