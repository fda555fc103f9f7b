// How little a device keeps of what the server has.
import assert from "node:assert/strict";
import { test } from "node:test";

import { keptSheet, scrubbed } from "../../vendor/static/counter/keeping.js";
import { Outbox } from "../../vendor/static/counter/outbox.js";

const line = { ware: "TUM-CEL", grade: "first", name: "Tumbler, celadon", quantity: 2, list_price: 3400,
  unit_price: 3000, discount: { amount: 0, rate_ppm: 0 }, reason: "For Ada's wedding" };
const sale = { key: "a", kind: "sales", state: "unsent", number: null, reason: "", at: "2026-12-05T16:05:00Z", received: 6000,
  what: "2 × Tumbler, celadon", document: { key: "a", fair: 1, device: "Robin's phone", lines: [line], note: "Ada Vale, 555 0100",
    discount_reason: "Ada's a neighbour", seller: 7, payments: [], figures: {} } };

test("an unsent sale is kept whole", () => {
  assert.equal(scrubbed(sale), sale);
  assert.equal(scrubbed({ ...sale, state: "malformed" }).document.note, "Ada Vale, 555 0100");
});

test("of what the server has, its key, number, sum and pieces are kept, and no word", () => {
  for (const state of ["taken", "kept", "aside"]) {
    const kept = scrubbed({ ...sale, state, number: 12, reason: "Ada's ware was retired" });
    assert.deepEqual(kept, { key: "a", kind: "sales", state, number: 12, reason: "", at: sale.at, received: 6000, what: sale.what,
      document: { key: "a", fair: 1, lines: [{ ware: "TUM-CEL", grade: "first", name: "Tumbler, celadon", quantity: 2 }] } });
  }
});

test("of an undoing that the server has, why goes, and so does all of what this does not know", () => {
  const undoing = { ...sale, kind: "undoings", state: "taken", document: { key: "b", sale: "a", reason: "Ada came back" } };
  assert.doesNotMatch(JSON.stringify(scrubbed(undoing)), /Ada/);
  const other = { ...sale, kind: "others", state: "taken", what: "A bowl for Ada", document: { key: "c", customer: "Ada" } };
  assert.doesNotMatch(JSON.stringify(scrubbed(other)), /Ada/);
});

test("the sheet is kept with numbers for people, and no word about a customer", () => {
  const row = { key: "a", number: 1, seller: "Robin Vale", seller_id: 7, undone: "Ada came back", what: "1 × Bowl", note: "Ada", methods: ["Cash"], names: ["Bowl"] };
  const kept = keptSheet({ fair: 1, vouched: [7], sellers: [{ id: 7, name: "Robin Vale" }], sales: [row, { ...row, undone: "" }], tiles: [],
    commissions: [{ key: "o", number: 3, what: "Berry bowl", seller: "Robin Vale", customer: "Ada", deposit: 500 }] });
  assert.doesNotMatch(JSON.stringify(kept), /Ada|Robin/);
  assert.deepEqual(kept.sellers, [{ id: 7, name: "" }]);
  assert.deepEqual(kept.sales.map((each) => Boolean(each.undone)), [true, false]);
  assert.equal(kept.commissions[0].deposit, 500);
  assert.equal("vouched" in kept, false);
});

test("what the answer says is told while the page is open, and forgotten with it", async () => {
  const outbox = new Outbox(null);
  await outbox.put(sale);
  await outbox.answered({ key: "a", outcome: "kept", number: null, reason: "Its price is not on the list." });
  const [item] = await outbox.all();
  assert.equal(item.reason, "Its price is not on the list.");
  assert.equal(item.document.note, undefined);
});

test("old things go, and what is not sent stays however old it is", async () => {
  const outbox = new Outbox(null);
  for (const [key, state] of [["a", "taken"], ["b", "unsent"], ["c", "malformed"], ["d", "kept"]]) {
    await outbox.put({ ...sale, key, state, document: { ...sale.document, key } });
  }
  await outbox.tidy(new Date("2026-12-08T00:00:00Z"));
  assert.deepEqual((await outbox.all()).map((item) => item.key), ["b", "c", "d"]);
  assert.deepEqual((await outbox.only()).map((item) => item.key), ["b", "c"]);
});

test("an undoing that was refused is sent once more when it may be", async () => {
  const outbox = new Outbox(null);
  await outbox.put({ ...sale, kind: "undoings", state: "refused", reason: "The PIN is wanted" });
  await outbox.undoAgain();
  assert.deepEqual((await outbox.unsent()).map((item) => [item.key, item.reason]), [["a", ""]]);
});
