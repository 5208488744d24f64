import assert from "node:assert/strict";
import test from "node:test";
import type { Card, View } from "../app/generated/types";
import { compareCards, counted, isSame, markedLines, paired, type Compared, type Line, type Part } from "../app/views/comparing";

const body: Card = {
  id: "anna-chop", title: "Chop", technique: "horizontal chop", owner: "anna", basics: {}, machine: {},
  items: [{ key: "chopper", name: "Chopper", kind: "instrument", quantity: 1, state: "open" }],
  notes: "First thought.\n\nSecond thought.",
};
const view: View = {
  phases: [
    { key: "chop", name: "Chop", kind: "chop", values: [{ id: "vacuum", label: "Vacuum", value: "400", unit: "mmHg", extra: "linear" }, { id: "flow", label: "Aspiration flow", value: "35", unit: "mL/min" }] },
    { key: "cortex", name: "Cortex", kind: "cortex", values: [{ id: "vacuum", label: "Vacuum", value: "500", unit: "mmHg" }] },
  ],
  steps: [{ key: "fill", title: "Fill" }, { key: "cut", title: "Cut", do: "At the steep axis" }],
  basics: [{ id: "glove_size", label: "Glove size", value: "7.5" }],
};
const anna: Compared = { body, view, questions: [] };
const with_ = (change: { body?: Partial<Card>; view?: Partial<View>; questions?: Compared["questions"] }): Compared => ({
  body: { ...body, ...change.body }, view: { ...view, ...change.view }, questions: change.questions ?? [],
});
const compare = (a: Compared, b: Compared) => compareCards(a, b, (id) => id, (id) => id);
const lines = (parts: Part[], part: string): Line[] => parts.find((p) => p.id === part)?.groups.flatMap((g) => g.lines) ?? [];
const differing = (parts: Part[], part: string) => lines(parts, part).filter((l) => !isSame(l));

test("a card beside itself has no difference, and everything is counted as the same", () => {
  const parts = compare(anna, anna);
  assert.deepEqual(counted(parts), { differ: 0, same: 3 + 1 + 2 + 2 + 1 + 3 });
});

test("a number stands with its unit and with how it is applied, which no line break parts", () => {
  const other = with_({ view: { phases: [{ ...view.phases![0]!, values: [{ id: "vacuum", label: "Vacuum", value: "380", unit: "mmHg", extra: "fixed" }, view.phases![0]!.values![1]!] }, view.phases![1]!] } });
  assert.deepEqual(differing(compare(anna, other), "limits"), [{ label: "Vacuum", here: "400\u00a0mmHg, linear", there: "380\u00a0mmHg, fixed" }]);
});

test("a phase that one of them does not have is there with nothing beside it", () => {
  const without = with_({ view: { phases: [view.phases![0]!] } });
  assert.deepEqual(differing(compare(anna, without), "limits"), [{ label: "Vacuum", here: "500\u00a0mmHg", there: null }]);
  assert.deepEqual(differing(compare(without, anna), "limits"), [{ label: "Vacuum", here: null, there: "500\u00a0mmHg" }]);
});

test("a phase with another key is known by its kind, and then both names are said", () => {
  const other = with_({ view: { phases: [{ ...view.phases![0]!, key: "my-chop", name: "Cracking" }, view.phases![1]!] } });
  assert.deepEqual(differing(compare(anna, other), "limits"), [{ label: "Name", here: "Chop", there: "Cracking" }]);
});

test("phases and steps in another order are said to be", () => {
  const other = with_({ view: { phases: [view.phases![1]!, view.phases![0]!], steps: [view.steps![1]!, view.steps![0]!] } });
  const parts = compare(anna, other);
  assert.deepEqual(differing(parts, "limits"), [{ label: "Order", here: "Chop\nCortex", there: "Cortex\nChop" }]);
  assert.deepEqual(differing(parts, "steps"), [{ label: "Order", here: "Fill\nCut", there: "Cut\nFill" }]);
});

test("an item is compared in all that is said of it", () => {
  const other = with_({ body: { items: [{ ...body.items![0]!, state: "have ready", counted: true }] } });
  const [line] = differing(compare(anna, other), "setup");
  assert.equal(line?.label, "Chopper");
  assert.equal(line?.here, "1\u00a0× open");
  assert.equal(line?.there, "1\u00a0× have ready\ncounted");
});

test("notes are compared by paragraph", () => {
  const other = with_({ body: { notes: "First thought.\n\nAnother thought." } });
  assert.deepEqual(differing(compare(anna, other), "notes").map((l) => [l.here, l.there]), [[null, "Another thought."], ["Second thought.", null]]);
});

test("where nobody has decided both values stand, and neither passes for the card's", () => {
  const q = { unit: "phases/chop", label: "Limits of Chop", base: null, head: {}, mine: {}, head_text: "Vacuum 400 mmHg", mine_text: "Vacuum 350 mmHg" };
  const open = with_({ questions: [q] });
  const parts = compare(anna, open);
  const [line] = differing(parts, "limits");
  assert.equal(line?.there, "Two values, not resolved: Vacuum 400\u00a0mmHg\nor: Vacuum 350\u00a0mmHg");
  assert.equal(line?.here, "Vacuum 400\u00a0mmHg, linear\nAspiration flow 35\u00a0mL/min");
});

test("a question about the surgeon's own values takes the place of the values that it names", () => {
  const q = { unit: "basics/gloves", label: "Glove and gown size", base: null, head: { glove_size: "7.5" }, mine: { glove_size: "8" }, head_text: "Glove size 7.5", mine_text: "Glove size 8" };
  const [line] = differing(compare(anna, with_({ questions: [q] })), "surgeon");
  assert.deepEqual(line, { label: "Glove size", here: "7.5", there: "Two values, not resolved: Glove size 7.5\nor: Glove size 8" });
});

test("a question about two values stands once, and the other side says all that it names", () => {
  const basics = [{ id: "main_place", label: "Main incision", value: "temporal" }, { id: "main_width", label: "Main incision width", value: "2.4", unit: "mm" }];
  const q = { unit: "basics/main_incision", label: "Main incision", base: null, head: { main_place: "temporal", main_width: "2.4" }, mine: { main_width: "2.2" }, head_text: "A", mine_text: "B" };
  const parts = compare(with_({ view: { basics } }), with_({ view: { basics }, questions: [q] }));
  assert.deepEqual(lines(parts, "surgeon"), [
    { label: "Main incision", here: "Main incision temporal\nMain incision width 2.4\u00a0mm", there: "Two values, not resolved: A\nor: B" },
  ]);
});

test("another owner is a difference, said by name", () => {
  const parts = compareCards(anna, with_({ body: { owner: "carl" } }), (id) => id, (id) => (id === "carl" ? "Carl" : "Anna"));
  assert.deepEqual(differing(parts, "card"), [{ label: "Owner", here: "Anna", there: "Carl" }]);
});

test("where the owner is in question both names stand", () => {
  const q = { unit: "owner", label: "Owner", base: "anna", head: "carl", mine: "dora", head_text: "carl", mine_text: "dora" };
  const [line] = differing(compareCards(anna, with_({ questions: [q] }), (id) => id, (id) => id.toUpperCase()), "card");
  assert.deepEqual(line, { label: "Owner", here: "ANNA", there: "Two values, not resolved: CARL\nor: DORA" });
});

test("where the order is in question no order stands for decided", () => {
  const q = { unit: "steps/order", label: "Step order", base: [], head: [], mine: [], head_text: "fill, cut", mine_text: "cut, fill" };
  const turned = with_({ view: { steps: [view.steps![1]!, view.steps![0]!] }, questions: [q] });
  assert.deepEqual(differing(compare(anna, turned), "steps"), [{ label: "Order", here: "Fill\nCut", there: "Two values, not resolved: fill, cut\nor: cut, fill" }]);
});

// Every unit that a merge may ask about, in the order of the card (cards/merge.go, cards/fields.go), and one that it does not know.
const units = [
  "title", "technique", "owner", "review", "basics", "basics/gloves", "basics/main_incision", "machine/profile", "machine/pedal",
  "phases/chop", "phases/my-chop", "phases/polish", "phases/order", "items/chopper", "items/spatula", "items/order", "drugs/dye", "drugs/order",
  "steps/fill", "steps/suture", "steps/order", "triggers/tear", "triggers/order", "variants/dense", "variants/order",
  "fit/for nucleus ≥ 4", "fit/order", "notes", "notes/2", "extra/Lens", "extra/order", "something/else",
];

const named_ = (unit: string) => (unit === "basics/gloves" ? { glove_size: "7", gown_size: "L" } : unit === "basics/main_incision" ? { main_place: "temporal" } : {});

/** A side with questions about these units, each of which says what nothing else says. */
function asking(side: string, of: Compared, about: readonly string[]): Compared {
  return { ...of, questions: about.map((unit) => ({ unit, label: `About ${unit}`, base: null, head: named_(unit), mine: null, head_text: `<${side} ${unit} one>`, mine_text: `<${side} ${unit} two>` })) };
}

const other = with_({
  body: { id: "carl-chop", owner: "carl", items: [{ ...body.items![0]!, key: "my-chopper" }], extra: [{ title: "Lens", body: "Foldable" }] },
  view: {
    phases: [{ ...view.phases![0]!, key: "my-chop" }], steps: [view.steps![1]!, view.steps![0]!], basics: [...view.basics!, { id: "gown_size", label: "Gown size", value: "L" }],
  },
});

/** How often each text of a side's questions stands in the lines. */
function told(parts: Part[], side: "here" | "there", of: Compared): { unit: string; times: number }[] {
  const all = parts.flatMap((p) => p.groups.flatMap((g) => g.lines)).map((l) => (l[side] ?? "").replaceAll("\u00a0", " "));
  return of.questions.flatMap((q) => [q.head_text, q.mine_text].map((says) => ({ unit: q.unit, times: all.filter((l) => l.includes(says)).length })));
}

// Half of the units at a time, chosen by the bits of a number that a generator of the textbook gives (Numerical Recipes: 1664525 and 1013904223), from memory.
function* halves(n: number): Generator<string[]> {
  let x = 1;
  const next = () => (x = (Math.imul(x, 1664525) + 1013904223) >>> 0);
  for (let i = 0; i < n; i++) yield units.filter(() => next() >>> 31 === 1);
}

test("every open question stands in exactly one line of its side, and nothing passes for the same", () => {
  const draws = [...units.map((u) => [u]), units, ...halves(200)];
  draws.forEach((about, i) => {
    const here = asking("here", i % 2 ? anna : other, about);
    const there = asking("there", i % 3 ? other : anna, draws[draws.length - 1 - i]!);
    for (const [a, b] of [[here, there], [here, anna], [anna, there]] as const) {
      const parts = compare(a, b);
      for (const [side, of] of [["here", a], ["there", b]] as const) {
        assert.deepEqual(told(parts, side, of).filter((t) => t.times !== 1), [], `${side}, asked about ${about.join(", ")}`);
      }
      assert.ok(a.questions.length + b.questions.length === 0 || counted(parts).differ > 0);
    }
  });
});

test("of a text only the lines that the other side lacks are marked", () => {
  assert.deepEqual(markedLines("a\nb", "b\nc"), [{ text: "a", differs: true }, { text: "b", differs: false }]);
  assert.deepEqual(markedLines("a", null), [{ text: "a", differs: true }]);
});

test("pairs go by key before they go by name, and what only the other has stands where it stands there", () => {
  const k = (key: string, name: string) => ({ key, name });
  const pairs = paired([k("1", "x"), k("2", "y")], [k("9", "new"), k("2", "x"), k("7", "z"), k("8", " X ")], (t) => t.key, (t) => t.name);
  assert.deepEqual(pairs.map(([a, b]) => [a?.key, b?.key]), [[undefined, "9"], ["1", "8"], ["2", "2"], [undefined, "7"]]);
});
