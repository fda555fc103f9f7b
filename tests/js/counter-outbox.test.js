// What the device keeps until the server has answered.
import assert from "node:assert/strict";
import { test } from "node:test";

import { Outbox } from "../../vendor/static/counter/outbox.js";

const kept = (kind) => ({ key: "a", kind, document: { key: "a" }, state: "unsent", at: "2026-12-05T16:05:00Z" });

test("an undoing that an earlier edition of the page kept is still one, and is sent", async () => {
  const outbox = new Outbox(null);
  await outbox.put(kept("voids"));
  assert.deepEqual((await outbox.unsent()).map((item) => item.kind), ["undoings"]);
  await outbox.answered({ key: "a", outcome: "taken", number: 1, reason: "" });
  assert.deepEqual((await outbox.all()).map((item) => [item.kind, item.state]), [["undoings", "taken"]]);
});
