// A commission at the stall: what is asked, what is sent, what the device forgets.
import assert from "node:assert/strict";
import { test } from "node:test";

import { documentOf, ordered, pieces, rows } from "../../vendor/static/counter/ordering.js";
import { asText, fromText } from "../../vendor/static/counter/handover.js";
import { Outbox } from "../../vendor/static/counter/outbox.js";

const sheet = { fair: 3, currency: "USD", exponent: 2, language: "en-US", notes: [100], time_zone: "America/New_York",
  terms: { currency: "USD" }, forms: [{ code: "BOWL", name: "Berry bowl" }],
  tiles: [{ ware: "TUM-CEL", grade: "first", name: "Tumbler, celadon" }, { ware: "TUM-CEL", grade: "second", name: "Tumbler, celadon" }] };
const given = { name: " Robin Lark ", contact: "robin@example.test", piece: "ware:TUM-CEL", choices: "a hare", due: "2027-02-01",
  price: "90", deposit: "20.00", way: "card", note: "" };

test("forms and wares can be ordered, each ware once", () => {
  assert.deepEqual(pieces(sheet).map((each) => `${each.kind}:${each.code}`), ["form:BOWL", "ware:TUM-CEL"]);
  assert.deepEqual(pieces({ ...sheet, forms: undefined }).length, 1);
});

test("what stands in the fields becomes a commission, to the minor unit", () => {
  assert.deepEqual(ordered(given, sheet), {
    customer: { name: "Robin Lark", contact: "robin@example.test" },
    piece: { form: "", ware: "TUM-CEL", name: "Tumbler, celadon" },
    choices: "a hare", note: "", due_on: "2027-02-01", price: 9000, deposit: { method: "card", amount: 2000 },
  });
  const plain = ordered({ ...given, piece: "form:BOWL", deposit: "", due: "" }, sheet);
  assert.deepEqual([plain.piece.form, plain.piece.ware, plain.deposit, plain.due_on], ["BOWL", "", null, null]);
});

test("what is missing or wrong is said in a sentence", () => {
  for (const [field, wrong, said] of [["name", " ", /needs a name/], ["piece", "", /Choose a form or a ware/], ["price", "", /Write the price/],
    ["price", "0", /Write the price/], ["price", "9999999999", /Write the price/], ["due", "0207-02-01", /the year/], ["deposit", "much", /with digits/], ["deposit", "90.01", /more than the price/]]) {
    assert.match(String(ordered({ ...given, [field]: wrong }, sheet)), said);
  }
});

const made = (more = {}) => {
  const document = documentOf(ordered(given, sheet), sheet, { device: "phone", at: new Date("2026-12-05T16:20:00Z"), key: "ab".repeat(16) });
  return { key: document.key, kind: "commissions", document, state: "unsent", number: null, reason: "", at: "2026-12-05T16:20:00Z",
    received: 2000, what: "Tumbler, celadon", ...more };
};

test("a price that no pot comes to is a slip of the keys", () => {
  const dinars = { ...sheet, exponent: 3 };
  assert.match(String(ordered({ ...given, price: "999999999" }, dinars)), /slip of the keys/);
});

test("a commission is a document with its own key", () => {
  const { document } = made();
  assert.equal(document.format, "wareboard.commission");
  assert.equal(document.taken_at, "2026-12-05T16:20:00.000Z");
  assert.ok(!("entered_later" in document));
  assert.equal(documentOf(ordered(given, sheet), sheet, { device: "", at: new Date(), later: true }).entered_later, true);
});

test("the device keeps who it is for until the server has it, and no longer", async () => {
  for (const outcome of ["taken", "kept", "aside"]) {
    const outbox = new Outbox(null);
    await outbox.put(made());
    assert.match(JSON.stringify(await outbox.all()), /Robin Lark/);
    await outbox.answered({ key: made().key, outcome, number: 7, reason: "" });
    assert.doesNotMatch(JSON.stringify(await outbox.all()), /Robin|example|hare/);
  }
});

test("an unsent commission can be handed over by file", () => {
  const [back] = fromText(asText([made()], new Date(0)));
  assert.deepEqual([back.kind, back.document], ["commissions", made().document]);
});

test("the day's list has what the server has and what is still here, once each", () => {
  const theirs = [{ key: "ab".repeat(16), number: 7, what: "Tumbler, celadon", at: "2026-12-05T16:20:00Z", deposit: 2000, method: "by card", slip: "/s", seller: "Robin" }];
  assert.deepEqual(rows([], [made()], sheet).map((row) => [row.number, row.waits]), [[null, "On this device, not sent yet"]]);
  const [one, ...more] = rows(theirs, [made(), made({ state: "taken" })], sheet);
  assert.deepEqual([one.number, one.told, more.length], [7, ["deposit $20.00 by card", "Robin"], 0]);
  assert.equal(rows([], [made({ state: "kept", what: "" })], sheet)[0].what, "A commission");
});
