// A pass of counting as its device keeps it.
import assert from "node:assert/strict";
import { test } from "node:test";

import { begun, Pass } from "../../vendor/static/closing/pass.js";

const going = { key: "pass-one", kind: "first", where: "" };
const tumbler = { ware: 7, grade: "first" };
const bowl = { ware: 8, grade: "second" };

/** A pass that keeps its state as text, as a browser does. */
function device() {
  const store = { text: "" };
  const keep = (kept) => {
    store.text = JSON.stringify(kept);
  };
  return { pass: new Pass(begun(going), keep), again: () => new Pass(JSON.parse(store.text), keep) };
}

const all = (scans, outcome = "counted") => scans.map(({ key }) => ({ key, outcome, reason: "why" }));

test("each piece adds one, and is kept until it is answered", () => {
  const { pass, again } = device();
  for (let each = 0; each < 3; each += 1) pass.add(tumbler);
  pass.add(bowl);
  assert.equal(pass.figure("7 first"), 3);
  const after = again();
  assert.equal(after.figure("7 first"), 3);
  const scans = after.batch();
  assert.equal(scans.length, 4);
  after.answered(all(scans), { "7 first": 3, "8 second": 1 });
  assert.ok(after.isSent);
  assert.equal(after.pieces, 4);
});

test("a batch that was not answered is sent again under the same keys", () => {
  const { pass } = device();
  pass.add(tumbler);
  assert.deepEqual(pass.batch(), pass.batch());
});

test("the last is taken back: here where it was not sent, at the server where it may have been", () => {
  const { pass } = device();
  pass.add(tumbler);
  pass.undo();
  assert.ok(pass.isSent);
  const scan = pass.add(tumbler);
  pass.batch();
  pass.undo();
  assert.equal(pass.figure("7 first"), 0);
  const sent = pass.batch();
  assert.deepEqual(sent.map((each) => each.undoes), ["", scan.key]);
  pass.answered(all(sent), { "7 first": 0 });
  assert.ok(pass.isSent);
  assert.equal(pass.undo(), null);
});

test("what somebody else counted is asked about, waits, and goes on when it is said", () => {
  const { pass } = device();
  pass.add(tumbler);
  pass.answered(all(pass.batch(), "asked"), {});
  assert.deepEqual(Object.keys(pass.kept.asked), ["7 first"]);
  pass.add(tumbler);
  pass.add(bowl);
  assert.deepEqual(pass.batch().map((each) => each.ware), [8]);
  assert.equal(pass.figure("7 first"), 2);
  pass.say("7 first", "elsewhere");
  assert.deepEqual(pass.batch().filter((each) => each.ware === 7).map((each) => each.beside), ["elsewhere", "elsewhere"]);
});

test("a question with no piece left to ask about is none", () => {
  const { pass } = device();
  pass.add(tumbler);
  pass.answered(all(pass.batch(), "asked"), {});
  pass.undo();
  assert.deepEqual(pass.kept.asked, {});
  assert.ok(pass.isSent);
});

test("what is refused is told and counts no more", () => {
  const { pass } = device();
  pass.add(tumbler, 12);
  assert.equal(pass.seen(12), 1);
  pass.answered(all(pass.batch(), "refused"), { "7 first": 0 });
  assert.equal(pass.figure("7 first"), 0);
  assert.equal(pass.seen(12), 0);
  assert.deepEqual(pass.kept.told, ["why"]);
  pass.read("why");
  assert.deepEqual(pass.kept.told, []);
});

test("a code that nothing has is kept until it is put aside", () => {
  const { pass, again } = device();
  pass.missed("4006381333931");
  pass.missed("4006381333931");
  assert.deepEqual(again().kept.unknown, { 4006381333931: 2 });
  pass.putAside("4006381333931");
  assert.deepEqual(pass.kept.unknown, {});
});
