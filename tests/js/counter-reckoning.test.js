// The page's reckoning against the file that the server's own is held to.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { reckon, Refused, split } from "../../vendor/static/counter/reckoning.js";

const file = new URL("../../fixtures/reckonings.json", import.meta.url);
const { cases } = JSON.parse(readFileSync(file, "utf8"));

test("there are cases enough", () => {
  assert.ok(cases.length >= 150);
});

for (const { name, given, figures, refused } of cases) {
  const { items, terms, discount, payments } = given;
  test(name, () => {
    const reckoned = () => reckon(items, terms, { discount, payments });
    if (refused) {
      assert.throws(reckoned, (error) => error instanceof Refused && error.rule === refused);
    } else {
      assert.deepEqual(reckoned(), figures);
    }
  });
}

test("a split loses no minor unit, whatever the weights", () => {
  for (let amount = 0; amount < 40; amount += 1) {
    const parts = split(amount, [3, 0, 7, 7, 1]);
    assert.equal(parts.reduce((all, one) => all + one, 0), amount);
    assert.equal(parts[1], 0);
  }
});
