import assert from "node:assert/strict";
import test from "node:test";
import type { RuleBook } from "../app/generated/types";
import type { OpenQuestion } from "../app/state";
import { bookWith } from "../app/views/unit/side";

const line = (id: string, text: string) => ({ id, text, ask: "reader", answer: "surgeon", source: "test" });
const rule = (id: string) => ({ id, title: id, source: "test", mark: "published" as const, owner: "anna", review: "2030-01-31", when: {} });
const setting = (id: string, value: string) => ({ id, label: id, value, min: "3", max: "5", source: "test", mark: "published" as const });
const book: RuleBook = {
  title: "Book", owner: "anna", rules: [rule("a"), rule("b"), rule("c")], settings: [setting("small", "5")],
  pauses: [{ id: "sign in", when: "before", lines: [line("eye", "Which eye?"), line("drops", "Which drops?")] }],
};
const asked = (unit: string, head: unknown, mine: unknown) => ({ unit, head, mine }) as OpenQuestion;

test("a side goes back to where it came from", () => {
  assert.equal(bookWith(book, asked("title", "Book", "Other"), "mine").title, "Other");
  assert.equal(bookWith(book, asked("settings/small", setting("small", "5"), setting("small", "4")), "mine").settings?.[0]?.value, "4");
  const lines = bookWith(book, asked("pauses/sign in/drops", null, line("drops", "What drops?")), "mine").pauses[0]?.lines.map((l) => l.text);
  assert.deepEqual(lines, ["Which eye?", "What drops?"]);
});

test("a side that removed the part takes it away, and one that has it brings it back", () => {
  assert.deepEqual(bookWith(book, asked("rules/b", rule("b"), null), "mine").rules.map((r) => r.id), ["a", "c"]);
  assert.deepEqual(bookWith(book, asked("rules/d", null, rule("d")), "mine").rules.map((r) => r.id), ["a", "b", "c", "d"]);
});

test("the moment of a pause is taken without its lines", () => {
  const taken = bookWith(book, asked("pauses/sign in", null, { id: "sign in", when: "after", lines: null }), "mine").pauses[0];
  assert.equal(taken?.when, "after");
  assert.equal(taken?.lines.length, 2);
});

test("an order moves what it names and leaves the rest in place", () => {
  assert.deepEqual(bookWith(book, asked("rules/order", ["a", "c"], ["c", "a"]), "mine").rules.map((r) => r.id), ["c", "b", "a"]);
});

test("the risk part and a confirmed recipe stand under parts", () => {
  const on = { on: true, by: "anna", date: "2030-01-31", purpose_read: true };
  assert.deepEqual(bookWith(book, asked("parts/risk", { on: false }, on), "mine").parts?.risk, on);
  const recipe = { recipe: "moxifloxacin-0-5", by: "the pharmacist", date: "2030-01-31" };
  assert.deepEqual(bookWith(book, asked("parts/recipes/moxifloxacin-0-5", null, recipe), "mine").parts?.recipes, [recipe]);
});
