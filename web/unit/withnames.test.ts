import assert from "node:assert/strict";
import test from "node:test";
import type { Question } from "../app/generated/types";
import { withNames } from "../app/views/withnames";

const nameOf = (id: string): string => (id === "anna" ? "Anna Flint" : id);
const question = (unit: string): Question => ({ unit, label: "", base: null, head: null, mine: null, base_text: "", head_text: "anna", mine_text: "somebody-else" });

test("where two people are the sides of a question, their names are shown; an unknown one keeps its id", () => {
  for (const unit of ["owner", "surgeon"]) {
    const { base_text, head_text, mine_text } = withNames(question(unit), nameOf);
    assert.deepEqual([base_text, head_text, mine_text], ["", "Anna Flint", "somebody-else"], unit);
  }
});

test("a text that reads like an id stays as it is anywhere else", () => {
  assert.equal(withNames(question("notes"), nameOf).head_text, "anna");
});
