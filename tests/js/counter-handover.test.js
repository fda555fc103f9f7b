// Sales handed over by file: whole, and nothing else is taken for one.
import assert from "node:assert/strict";
import { test } from "node:test";

import { asText, fromText } from "../../vendor/static/counter/handover.js";

const key = "0123456789abcdef".repeat(2);
const item = (state, more = {}) => ({ key, kind: "sales", document: { key }, state, number: null, reason: "",
  at: "2026-12-05T16:05:00Z", received: 100, what: "1 × Bowl", ...more });

test("what the server has not answered with a number goes into the file, and comes out unsent", () => {
  const text = asText([item("unsent"), item("malformed", { reason: "note" }), item("taken")], new Date(0));
  const back = fromText(text);
  assert.deepEqual(back.map((each) => [each.state, each.reason]), [["unsent", ""], ["unsent", ""]]);
});

test("an undoing from when it was called otherwise comes out as one", () => {
  const [back] = fromText(asText([item("unsent", { kind: "voids" })], new Date(0)));
  assert.equal(back.kind, "undoings");
});

test("another file is refused with a sentence", () => {
  for (const text of ["", "[]", "{}", '{"format":"wareboard.handover","version":1,"items":[{"key":"x"}]}', "null"]) {
    assert.throws(() => fromText(text), /Nothing was taken in/);
  }
});
