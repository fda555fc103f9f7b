// What the page does with the answers to the sales that it sent.
import assert from "node:assert/strict";
import { test } from "node:test";

import { Sender } from "../../vendor/static/counter/sending.js";

const item = (key) => ({ key, kind: "sales", document: { key }, state: "unsent" });

test("a sale that is not written yet holds up none of those sent with it", async () => {
  const noted = [];
  const outbox = { answered: async (answer) => noted.push([answer.key, answer.outcome]) };
  const sender = new Sender(outbox, { sales: "", undoings: "" }, () => {});
  const answers = [{ outcome: "later" }, { outcome: "taken", found: 1 }, { outcome: "had" }];
  await assert.rejects(sender.note([item("a"), item("b"), item("c"), item("d")], answers), /2 not written yet/);
  assert.deepEqual(noted, [["b", "taken"], ["c", "had"]]);
  assert.equal(await sender.note([item("b")], [answers[1]]), 1);
});
