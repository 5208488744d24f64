import assert from "node:assert/strict";
import test from "node:test";
import { beganElsewhere, ghostMillis, isEcho } from "../app/parts/ghost";

const first = { at: 10_000, x: 200, y: 500 };

test("two presses on one spot within a fraction of a second are one, also when another row lies there by then", () => {
  const cases: [string, { at: number; x: number; y: number }, boolean][] = [
    ["the same touch told twice", { at: 10_030, x: 200, y: 500 }, true],
    ["a drop beside the finger", { at: 10_200, x: 212, y: 520 }, true],
    ["just within", { at: 10_000 + ghostMillis - 1, x: 200, y: 500 }, true],
    ["somebody presses again", { at: 10_000 + ghostMillis, x: 200, y: 500 }, false],
    ["the next row, quickly", { at: 10_150, x: 200, y: 590 }, false],
    ["the other column, quickly", { at: 10_150, x: 800, y: 500 }, false],
  ];
  for (const [name, press, want] of cases) assert.equal(isEcho(first, press), want, name);
  assert.equal(isEcho(null, first), false, "the first press of all");
});

test("a press that began before the row was there is nobody's", () => {
  const row = {}, gone = {};
  assert.equal(beganElsewhere({ at: 100, on: row }, row, 180, true), false, "it began on the row");
  assert.equal(beganElsewhere({ at: 100, on: gone }, row, 180, true), true, "it began on another row");
  assert.equal(beganElsewhere({ at: 100, on: null }, row, 180, true), true, "it began beside all rows");
  assert.equal(beganElsewhere({ at: 100, on: gone }, row, 180, false), false, "a key began nowhere");
  assert.equal(beganElsewhere(null, row, 180, true), false, "a press that says nothing of where it began");
  assert.equal(beganElsewhere({ at: 100, on: gone }, row, 9_000, true), false, "a finger long gone");
});
