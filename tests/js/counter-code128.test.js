// The reader of barcodes, on lines of pixels as a camera sees them: tilted, blurred, noisy.
import assert from "node:assert/strict";
import { test } from "node:test";

import { readLine, WIDTHS } from "../../vendor/static/counter/code128.js";
import { chance, pixels } from "./pixels.js";

const STOP = [2, 3, 3, 1, 1, 1, 2];

function encode(values) {
  const sum = values.reduce((all, value, at) => all + value * Math.max(1, at), 0);
  return [...values, sum % 103].flatMap((value) => WIDTHS[value]).concat(STOP);
}

const inB = (text) => encode([104, ...[...text].map((letter) => letter.charCodeAt(0) - 32)]);

test("the table has 106 characters of 11 modules, all different", () => {
  assert.equal(WIDTHS.length, 106);
  assert.ok(WIDTHS.every((widths) => widths.length === 6 && widths.reduce((a, b) => a + b) === 11));
  assert.equal(new Set(WIDTHS.map(String)).size, 106);
  // Every character has an even sum of its bars.
  assert.ok(WIDTHS.every(([a, , b, , c]) => (a + b + c) % 2 === 0));
});

test("a code is read from either end, at any size", () => {
  for (const unit of [1.6, 2, 2.6, 3.3, 7.1]) {
    const line = pixels(inB("TUM-CEL"), { unit });
    assert.equal(readLine(line), "TUM-CEL");
    assert.equal(readLine([...line].reverse()), "TUM-CEL");
  }
});

test("digits packed in pairs and changes of set are read", () => {
  assert.equal(readLine(pixels(encode([105, 12, 34, 56]))), "123456");
  // In pairs, then letters: start C, 12, to B, A, B, shifted to set A and back.
  assert.equal(readLine(pixels(encode([105, 12, 100, 33, 34]))), "12AB");
  assert.equal(readLine(pixels(encode([104, 33, 99, 7, 8]))), "A0708");
});

test("noise, shade and spread ink do not matter", () => {
  let read = 0;
  for (let seed = 1; seed <= 40; seed += 1) {
    const line = pixels(inB("BOWL-SHI"), { unit: 2.4, spread: 0.4, noise: 30, shade: 60, seed });
    const code = readLine(line);
    if (code !== null) assert.equal(code, "BOWL-SHI");
    read += code === "BOWL-SHI" ? 1 : 0;
  }
  assert.ok(read >= 38, `${read} of 40`);
});

test("what is no barcode, or a spoilt one, is none", () => {
  const random = chance(7);
  for (let each = 0; each < 200; each += 1) {
    assert.equal(readLine(Array.from({ length: 400 }, () => random() * 255)), null);
  }
  assert.equal(readLine([]), null);
  assert.equal(readLine(new Array(300).fill(255)), null);
  const widths = inB("TUM-CEL");
  widths.splice(12, 6, ...WIDTHS[50]);
  assert.equal(readLine(pixels(widths)), null);
});
