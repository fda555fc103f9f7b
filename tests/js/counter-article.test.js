// The reader of article numbers, on lines of pixels as a camera sees them: tilted, blurred, noisy.
import assert from "node:assert/strict";
import { test } from "node:test";

import { EVEN, ODD, PARITIES, readNumber } from "../../vendor/static/counter/article.js";
import { eitherWay, readRuns, runsOf } from "../../vendor/static/counter/code128.js";
import { chance, pixels } from "./pixels.js";

/** The widths of a number's bars and spaces, a bar first, as ISO/IEC 15420 puts them together. */
function barsOf(number) {
  const [first, ...rest] = [...number].map(Number);
  const left = rest.slice(0, 6).flatMap((digit, at) => (PARITIES[first][at] === "0" ? ODD : EVEN)[digit]);
  return [1, 1, 1, ...left, 1, 1, 1, 1, 1, ...rest.slice(6).flatMap((digit) => ODD[digit]), 1, 1, 1];
}

const read = (line) => eitherWay(runsOf(line), readNumber);
const NUMBERS = ["5012345678900", "0416000336108", "4006381333931", "9780306406157", "0400000000015"];

test("each digit takes seven modules in four stripes, and no two are alike", () => {
  const all = [...ODD, ...EVEN];
  assert.ok(all.every((widths) => widths.length === 4 && widths.reduce((a, b) => a + b) === 7));
  assert.equal(new Set(all.map(String)).size, 20);
  assert.equal(new Set(PARITIES).size, 10);
});

test("a number is read from either end, at any size", () => {
  for (const number of NUMBERS) {
    for (const unit of [1.9, 2.3, 2.6, 3.3, 7.1]) {
      const line = pixels(barsOf(number), { unit });
      assert.equal(read(line), number);
      assert.equal(read([...line].reverse()), number);
    }
  }
});

test("noise, shade and spread ink do not matter, and nothing else is read", () => {
  let right = 0;
  for (let seed = 1; seed <= 100; seed += 1) {
    const number = NUMBERS[seed % NUMBERS.length];
    const line = pixels(barsOf(number), { unit: 2.6, spread: 0.3, noise: 20, shade: 60, seed });
    const found = read(line);
    if (found !== null) assert.equal(found, number);
    right += found === number ? 1 : 0;
    assert.equal(eitherWay(runsOf(line), readRuns), null);
  }
  assert.ok(right >= 90, `${right} of 100`);
});

test("a spoilt number, or a line without one, is none", () => {
  const widths = barsOf("5012345678900");
  widths.splice(3, 4, ...ODD[3]);
  assert.equal(read(pixels(widths)), null);
  const random = chance(7);
  for (let each = 0; each < 200; each += 1) {
    assert.equal(read(Array.from({ length: 400 }, () => random() * 255)), null);
  }
  assert.equal(read(new Array(300).fill(255)), null);
});
