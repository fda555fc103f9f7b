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

test("a sale is kept only once the disk has it, and not when the browser says no", async () => {
  const asked = [];
  /** @type {any} */
  let transaction;
  const database = {
    transaction: (...how) => {
      asked.push(how);
      transaction = { objectStore: () => ({ put() {} }) };
      return transaction;
    },
  };
  const outbox = new Outbox(/** @type {any} */ (database));
  let isKept = false;
  const keeping = outbox.put(kept("sales")).then(() => (isKept = true));
  await new Promise(setImmediate);
  assert.deepEqual([asked, isKept], [[["items", "readwrite", { durability: "strict" }]], false]);
  transaction.oncomplete();
  await keeping;
  assert.equal((await outbox.unsent()).length, 1);

  const refused = outbox.put({ ...kept("sales"), key: "b" });
  await new Promise(setImmediate);
  transaction.error = new Error("The disk is full.");
  transaction.onabort();
  await assert.rejects(refused, /The disk is full/);
  assert.equal((await outbox.unsent()).length, 1);
  outbox.others?.close();
});
