// When there is more in the totes of what runs low on the table.
import assert from "node:assert/strict";
import { test } from "node:test";

import { inWords, nudges, standing } from "../../vendor/static/counter/nudging.js";

const tile = (ware, left, more = {}) => ({ ware, grade: "first", name: ware, left, held: 0, ...more });
const tote = (mark, pieces, is_out = false, packing_list = 1) => ({
  packing_list, mark, is_out, pieces: Object.entries(pieces).map(([ware, quantity]) => ({ ware, grade: "first", quantity })),
});
const now = new Date("2026-12-05T16:00:00Z");
const row = (names, quantities, minutes = 90, undone = "") => ({ names, quantities, undone, at: new Date(now - minutes * 60_000).toISOString() });
const sold = (rows, before = {}) => ({ rows, before, now });
const told = (found) => found.map(inWords);

test("a good seller with two on the table and six in a tote is named with its tote", () => {
  const totes = [tote("1", { Tumbler: 6 }, true), tote("3", { Tumbler: 6, Bowl: 2 })];
  const found = nudges([tile("Tumbler", 8), tile("Bowl", 9)], totes, sold([row(["Tumbler", "Bowl"], [3, 1]), row(["Tumbler"], [1])]));
  assert.deepEqual(told(found), ["Tumbler: 2 left on the table, 6 more in tote 3"]);
});

test("as long as no tote is said to be unpacked nothing is known", () => {
  assert.deepEqual(nudges([tile("Tumbler", 8)], [tote("3", { Tumbler: 6 })], sold([row(["Tumbler"], [9])])), []);
});

test("what is not a good seller, stands in numbers or is in no tote is no nudge", () => {
  const totes = [tote("1", {}, true), tote("3", { Tumbler: 6, Bowl: 6 }), tote("4", { Jar: 3 }, true)];
  const rows = [row(["Tumbler"], [2]), row(["Tumbler"], [5], 5, "Rung up wrong"), row(["Bowl", "Jar"], [4, 4])];
  assert.deepEqual(nudges([tile("Tumbler", 7), tile("Bowl", 10), tile("Jar", 1)], totes, sold(rows)), []);
});

test("what went on the weekend's earlier days makes a good seller too", () => {
  const totes = [tote("1", {}, true), tote("3", { Tumbler: 6 })];
  assert.equal(nudges([tile("Tumbler", 7)], totes, sold([], { Tumbler: 3 })).length, 1);
  assert.equal(nudges([tile("Tumbler", 7)], totes, sold([], { Tumbler: 2 })).length, 0);
});

test("fewer on the table than went in the last hour are few, however many", () => {
  const totes = [tote("1", {}, true), tote("3", { Tumbler: 6 })];
  assert.equal(nudges([tile("Tumbler", 11)], totes, sold([row(["Tumbler"], [6], 50)])).length, 1);
  assert.equal(nudges([tile("Tumbler", 11)], totes, sold([row(["Tumbler"], [6], 70)])).length, 0);
});

test("what sold past the table came out of a tote, and held pieces stand on the table", () => {
  const totes = [tote("1", { Tumbler: 4 }, true), tote("3", { Tumbler: 4 }), tote("blue lid", { Tumbler: 3 }, false, 2)];
  assert.deepEqual(told(nudges([tile("Tumbler", 5)], totes, sold([row(["Tumbler"], [6])]))),
    ["Tumbler: 0 left on the table, 4 more in tote 3, 1 in tote blue lid"]);
  assert.deepEqual(told(nudges([tile("Tumbler", 7, { held: 1 })], totes, sold([row(["Tumbler"], [6])]))),
    ["Tumbler: 1 left on the table, 4 more in tote 3, 3 in tote blue lid"]);
  assert.deepEqual(nudges([tile("Tumbler", 0)], totes, sold([row(["Tumbler"], [11])])), []);
});

test("a second is counted apart, and the best seller comes first", () => {
  const totes = [tote("1", {}, true), tote("3", { Tumbler: 2, Bowl: 2 })];
  totes[1].pieces.push({ ware: "Tumbler", grade: "second", quantity: 5 });
  const found = nudges([tile("Tumbler", 3), tile("Tumbler", 5, { grade: "second" }), tile("Bowl", 2)], totes, sold([row(["Tumbler", "Bowl"], [3, 4])]));
  assert.deepEqual(told(found), ["Bowl: 0 left on the table, 2 more in tote 3", "Tumbler: 1 left on the table, 2 more in tote 3"]);
});

test("what was said here and is not sent yet goes before the server's word", () => {
  const said = (list, mark, is_out, state = "unsent") => ({ kind: "totes", state, document: { packing_list: list, tote: mark, is_out } });
  const totes = [tote("1", {}), tote("3", {}, true), tote("3", {}, false, 2)];
  const items = [said(1, "1", true), said(1, "3", true), said(1, "3", false), said(2, "3", true, "taken"), { kind: "sales", state: "unsent", document: {} }];
  assert.deepEqual(standing(totes, items).map((each) => each.is_out), [true, false, false]);
});
