import assert from "node:assert/strict";
import test from "node:test";
import type { Case } from "../app/generated/types";
import type { OpenQuestion } from "../app/state";
import { caseWithSide } from "../app/views/caseside";

const of: Case = { id: "c1", list: "2030-01-31", position: 2, surgeon: "anna", card: "anna-chop", note: "first", facts: { eye: "left eye", "lens-power": "21.5", allergies: ["iodine", "latex"] } };
const asked = (unit: string, head: unknown, mine: unknown) => ({ unit, head, mine }) as OpenQuestion;

test("the other side of a fact takes its place and nothing else moves", () => {
  const taken = caseWithSide(of, asked("facts/lens-power", "21.5", "22"), "mine");
  assert.deepEqual(taken, { ...of, facts: { ...of.facts, "lens-power": "22" } });
  assert.deepEqual(caseWithSide(of, asked("facts/allergies", ["iodine", "latex"], "none"), "mine").facts?.allergies, "none");
});

test("a side that did not answer takes the answer away: it is asked, and no other answer is put in", () => {
  assert.deepEqual(Object.keys(caseWithSide(of, asked("facts/lens-power", "21.5", null), "mine").facts ?? {}), ["eye", "allergies"]);
});

test("what is no fact goes back to its own field", () => {
  assert.equal(caseWithSide(of, asked("position", 2, 3), "mine").position, 3);
  assert.equal(caseWithSide(of, asked("note", "first", "second"), "mine").note, "second");
});

test("the side that stands is the body as it is", () => {
  assert.equal(caseWithSide(of, asked("facts/lens-power", "21.5", "22"), "head"), of);
});
