// What the page makes of typed texts, notes, tiles and the day's list.
import assert from "node:assert/strict";
import { test } from "node:test";

import { Basket } from "../../vendor/static/counter/basket.js";
import { rows } from "../../vendor/static/counter/log.js";
import { bare, likelyTenders, parsed, written } from "../../vendor/static/counter/money.js";
import { discountOf } from "../../vendor/static/counter/pricing.js";
import { backAgain, byHour, favourites, nearlyGone, soldOut } from "../../vendor/static/counter/today.js";
import { afterUnsent, matches, meant, stillSold } from "../../vendor/static/counter/tiles.js";

const usd = { currency: "USD", exponent: 2, language: "en-US", notes: [100, 500, 1000, 2000, 5000, 10000] };
const jpy = { currency: "JPY", exponent: 0, language: "ja-JP", notes: [1000, 5000, 10000] };
const tile = (ware, name, more = {}) => ({
  ware, grade: "first", name, form: name, form_code: "", finish: "", price: 3400, left: 3, held: 0,
  number: "", holds: [], pot: "", photo: "", ...more,
});
const tumbler = tile("TUM-CEL", "Tumbler, céladon");
const second = { ...tumbler, grade: "second", left: 0 };
const bowl = tile("BOWL-SHI", "Berry bowl, shino");

test("amounts are written with exactly the currency's decimals", () => {
  assert.equal(written(3647, usd), "$36.47");
  assert.equal(bare(5, usd), "0.05");
  assert.equal(bare(3400, jpy), "3,400");
});

test("a typed amount is read with a point or a comma, and nothing is guessed", () => {
  assert.equal(parsed("36.47", usd), 3647);
  assert.equal(parsed("36,4", usd), 3640);
  assert.equal(parsed("40", usd), 4000);
  assert.equal(parsed("3400", jpy), 3400);
  for (const text of ["", "-1", "1.234", "1e5", "1.2.3", "forty", "9999999999"]) assert.equal(parsed(text, usd), null);
  assert.equal(parsed("34.5", jpy), null);
});

test("the sums a customer hands over are the exact one and a few notes more", () => {
  for (const sums of [[3400, 4000, 5000, 10000], [2300, 2500, 3000, 4000], [11800, 12000, 15000, 20000], [10000]]) {
    assert.deepEqual(likelyTenders(sums[0], usd), sums);
  }
  assert.deepEqual(likelyTenders(-5, usd), []);
  assert.deepEqual(likelyTenders(0, usd), []);
});

test("whatever is due, the sums ascend from it, and no more than asked for", () => {
  for (const purse of [usd, jpy, { ...usd, notes: [1, 2, 5, 10, 20, 50, 100].map((note) => note * 1000) }]) {
    for (let due = 1; due < 1e9; due = due * 3 + 1) {
      const likely = likelyTenders(due, purse, 5);
      assert.equal(likely[0], due);
      assert.deepEqual(likely, [...new Set(likely)].sort((a, b) => a - b));
      assert.ok(likely.length <= 5);
    }
  }
});

test("a discount is an amount, or a per cent with its sign", () => {
  assert.deepEqual(discountOf("5", usd), { amount: 500, rate_ppm: 0 });
  assert.deepEqual(discountOf("12.5 %", usd), { amount: 0, rate_ppm: 125000 });
  assert.deepEqual(discountOf("", usd), { amount: 0, rate_ppm: 0 });
  for (const text of ["101%", "%", "a", "-5"]) assert.equal(discountOf(text, usd), null);
});

test("ware is found by any of its words, accents or none, and by its code", () => {
  assert.ok(matches(tumbler, "celadon tum"));
  assert.ok(!matches(tumbler, "shino"));
  const all = [tumbler, second, bowl];
  assert.equal(meant(all, "tum-cel"), tumbler);
  assert.equal(meant(all, "berry"), bowl);
  assert.equal(meant(all, "b"), null);
  assert.equal(meant(all, "tumbler"), tumbler);
});

test("the tag of a second has a hyphen more, and is rung up as a second", () => {
  assert.equal(meant([tumbler, second, bowl], "TUM-CEL-"), second);
  assert.equal(meant([tumbler, bowl], "TUM-CEL-"), tumbler);
  assert.equal(meant([second, bowl], "TUM-CEL"), second);
});

test("an article number means its ware and grade, with twelve digits or thirteen", () => {
  const numbered = { ...tumbler, number: "5012345678900" };
  const flawed = { ...second, number: "0416000336108" };
  const all = [numbered, flawed, bowl];
  assert.equal(meant(all, "5012345678900"), numbered);
  assert.equal(meant(all, "0416000336108"), flawed);
  assert.equal(meant(all, "416000336108"), flawed);
  assert.equal(meant(all, "501234567890"), null);
  assert.equal(meant(all, ""), null);
  // Ware whose own code is made of digits keeps it.
  const digits = tile("416000336108", "Salt pig, ash");
  assert.equal(meant([flawed, digits], "416000336108"), digits);
});

test("what is sold and not yet sent is off the plank", () => {
  const sold = { lines: [{ ware: "TUM-CEL", grade: "first", quantity: 2 }] };
  assert.equal(afterUnsent([tumbler, bowl], [sold])[0].left, 1);
  assert.equal(afterUnsent([tumbler], [sold, sold])[0].left, 0);
});

test("what an unsent sale sold is back on the plank as soon as it is undone", () => {
  const sale = (key, state = "unsent") => ({ key, kind: "sales", state, document: { key } });
  const undoing = (of, state) => ({ key: `u${of}`, kind: "undoings", state, document: { sale: of } });
  const items = [sale("a"), sale("b"), sale("c"), sale("d", "taken"), undoing("b", "unsent"), undoing("c", "refused")];
  assert.deepEqual(stillSold(items).map((document) => document.key), ["a", "c"]);
});

test("a sale written on paper says so: no clock of a device told its moment", () => {
  const basket = new Basket();
  basket.add(bowl);
  const sheet = { fair: 1, terms: { currency: "USD", tax_rate_ppm: 0, tax_included: false, tax_rounding: "line", cash_step: 1 } };
  const paid = [{ method: "card", settles: null, tip: 0, tendered: null }];
  const at = new Date("2026-12-05T23:00:00Z");
  assert.equal(basket.document(sheet, paid, { device: "", at, later: true }).entered_later, true);
  assert.ok(!("entered_later" in basket.document(sheet, paid, { device: "", at })));
});

test("a piece past the free ones may be held until somebody says what it is", () => {
  const held = { ...bowl, left: 1, held: 1, holds: [{ id: 7, label: "Promise 12", quantity: 1 }] };
  const basket = new Basket();
  assert.ok(!basket.mayBeHeld(held));
  basket.add(held);
  assert.ok(basket.mayBeHeld(held));
  basket.overridden.add(7);
  assert.ok(!basket.mayBeHeld(held));
  basket.overridden.clear();
  basket.notTheHeld.add("BOWL-SHI first");
  assert.ok(!basket.mayBeHeld(held));
  const other = { ...tumbler, left: 0, held: 1, holds: [{ id: 8, label: "Promise 13", quantity: 1 }] };
  assert.ok(basket.mayBeHeld(other), "said of one ware, it is not said of another");
});

test("only a hold that the pieces still in the sale need is ended by it", () => {
  const held = { ...bowl, left: 1, held: 1, holds: [{ id: 7, label: "Promise 12", quantity: 1 }] };
  const sheet = { fair: 1, terms: { tax_rate_ppm: 0, tax_included: false, tax_rounding: "line", cash_step: 1 } };
  const said = (basket) => {
    const { overridden, not_the_held } = basket.document(sheet, [], { device: "", at: new Date() });
    return { overridden, not_the_held };
  };
  const basket = new Basket();
  basket.add(tumbler);
  basket.add(held);
  basket.add(held);
  basket.overridden.add(7);
  assert.deepEqual(said(basket), { overridden: [7], not_the_held: undefined });
  basket.set(basket.lines[1], 1);
  assert.deepEqual(said(basket), { overridden: undefined, not_the_held: undefined });
  basket.notTheHeld.add("BOWL-SHI first");
  assert.deepEqual(said(basket), { overridden: undefined, not_the_held: true });
  basket.set(basket.lines[1], 0);
  assert.deepEqual(said(basket), { overridden: undefined, not_the_held: undefined });
});

test("the day's list has what the server has and what is still here, once each", () => {
  const sale = { key: "a", number: 1, sold_at: "2026-12-05T16:00:00Z", seller: "Robin", what: "1 × Tumbler",
    received: 3647, methods: ["Cash"], names: ["Tumbler"], receipt: "/r", found: 1, by_count: false, undone: "" };
  const item = (key, state, more = {}) => ({ key, kind: "sales", state, document: {}, number: null, reason: "",
    at: "2026-12-05T16:05:00Z", received: 100, what: "1 × Bowl", ...more });
  const undone = item("v", "unsent", { kind: "undoings", document: { sale: "a", reason: "Rung up wrong" } });
  const list = rows([sale], [item("a", "unsent"), item("b", "unsent"), item("c", "kept", { reason: "No day" }), item("d", "taken"), undone]);
  assert.deepEqual(list.map((row) => row.key), ["b", "c", "a"]);
  assert.equal(list[0].waits, "On this device, not sent yet");
  assert.equal(list[1].waits, "Waits for the owner: No day");
  assert.equal(list[2].undone, "Rung up wrong");
});

test("takings by the hour go by the studio's clock, undone sales and empty hours told apart", () => {
  const row = (at, received, undone = "") => ({ at, received, undone });
  const rows = [row("2026-12-05T16:59:59Z", 3400), row("2026-12-05T15:00:00Z", 1000), row("2026-12-05T18:10:00Z", 500),
    row("2026-12-05T16:20:00Z", 9999, "Rung up wrong")];
  assert.deepEqual(byHour(rows, "America/New_York"), [
    { hour: 10, taken: 1000, sales: 1 },
    { hour: 11, taken: 3400, sales: 1 },
    { hour: 12, taken: 0, sales: 0 },
    { hour: 13, taken: 500, sales: 1 },
  ]);
  assert.deepEqual(byHour([], "UTC"), []);
});

test("nearly gone is what sells today and is down to two", () => {
  const last = tile("BOWL-SHI", "Berry bowl, shino", { left: 2 });
  assert.deepEqual(nearlyGone([last, tumbler], new Set(["Berry bowl, shino", tumbler.name])), [last]);
  assert.deepEqual(nearlyGone([last], new Set()), []);
});

test("sold out and back again are told with their times, also before the server knows", () => {
  const out = tile("BOWL-SHI", "Berry bowl, shino", { left: 0 });
  const at = "2026-12-05T16:00:00Z";
  const later = "2026-12-05T17:00:00Z";
  const turns = [{ ware: "BOWL-SHI", grade: "first", back: false, at }];
  const row = { at: later, names: [out.name], undone: "" };
  assert.deepEqual(soldOut([out], [row], turns), [{ name: out.name, at }]);
  assert.deepEqual(soldOut([out], [row], []), [{ name: out.name, at: later }]);
  assert.deepEqual(backAgain([out], turns), []);
  const back = [...turns, { ...turns[0], back: true, at: later }];
  assert.deepEqual(backAgain([{ ...out, left: 2 }], back), [{ name: out.name, at: later }]);
});

test("what sells now is what most sales of the last two hours have in them", () => {
  const row = (minutes, names, undone = "") => ({ at: new Date(Date.UTC(2026, 11, 5, 16, -minutes)).toISOString(), names, undone });
  const now = new Date(Date.UTC(2026, 11, 5, 16));
  const list = [row(5, ["Bowl"]), row(10, ["Bowl", "Jar"]), row(20, ["Jar", "Jar"]), row(30, ["Bowl"]),
    row(40, ["Cruet"], "Rung up wrong"), row(121, ["Pig"])];
  assert.deepEqual(favourites(list, now), ["Bowl", "Jar"]);
  assert.deepEqual(favourites([], now), []);
  assert.equal(favourites([row(1, ["a", "b", "c", "d", "e"])], now).length, 4);
});
