import assert from "node:assert/strict";
import test from "node:test";
import { lay, missingMerges, type Layer, type Merged } from "../app/local/overlay";
import type { Document } from "../app/sync/protocol";

function card(rev: number, body: unknown): Document {
  return { kind: "card", id: "flip", rev, seq: 100 + rev, body, questions: [], history: [] };
}

function edit(n: number, parent: number, body: unknown, more: Partial<Layer> = {}): Layer {
  return { n, id: `edit-${n}`, kind: "card", doc: "flip", parent, author: "anna", base: `body ${parent}`, body, view: { of: body } as any, ...more };
}

const none: ReadonlyMap<string, Merged> = new Map();
const mirror = (d: Document) => new Map([["card/flip", d]]);

test("without edits the mirror shows as it is", () => {
  const shown = lay(mirror(card(3, "body 3")), [], none).get("card/flip")!;
  assert.equal(shown.body, "body 3");
  assert.equal(shown.waiting, 0);
  assert.equal(shown.after, undefined);
});

test("an edit of the newest revision shows at once, the last of several wins", () => {
  const shown = lay(mirror(card(3, "body 3")), [edit(8, 3, "second"), edit(7, 3, "first")], none).get("card/flip")!;
  assert.equal(shown.body, "second");
  assert.equal(shown.rev, 3, "the revision is still the server's");
  assert.equal(shown.waiting, 2);
  assert.equal(shown.after, "edit-8", "the next edit names the one its author sees");
});

test("a new document shows before the server knows it", () => {
  const shown = lay(new Map(), [edit(1, 0, "mine", { base: null })], none).get("card/flip")!;
  assert.equal(shown.body, "mine");
  assert.equal(shown.rev, 0);
});

test("an edit the server has and the mirror does not show yet stays visible and does not count as waiting", () => {
  const shown = lay(mirror(card(3, "body 3")), [edit(1, 3, "mine", { received: true })], none).get("card/flip")!;
  assert.equal(shown.body, "mine");
  assert.equal(shown.waiting, 0);
});

test("when the server moved on, mine shows until the merge is there", () => {
  const docs = mirror(card(4, "body 4"));
  const layers = [edit(1, 3, "mine")];
  assert.equal(lay(docs, layers, none).get("card/flip")!.body, "mine");

  const [want] = missingMerges(docs, layers, none);
  assert.deepEqual([want!.base, want!.head, want!.mine], ["body 3", "body 4", "mine"]);

  const question = { id: "q", foreseen: true } as any;
  const merged = new Map([[want!.key, { body: "both", questions: [question] }]]);
  const shown = lay(docs, layers, merged).get("card/flip")!;
  assert.equal(shown.body, "both");
  assert.deepEqual(shown.questions, [question]);
  assert.deepEqual(missingMerges(docs, layers, merged), [], "asked for once");
});

test("several edits merge as one: from what the first author saw to the last body", () => {
  const [want] = missingMerges(mirror(card(5, "body 5")), [edit(1, 3, "first"), edit(2, 4, "second", { base: "x" })], none);
  assert.deepEqual([want!.base, want!.mine], ["body 3", "second"]);
});

test("a merge belongs to one revision of the server: the next one is merged anew", () => {
  const layers = [edit(1, 3, "mine")];
  const [four] = missingMerges(mirror(card(4, "body 4")), layers, none);
  const merged = new Map([[four!.key, { body: "both", questions: [] }]]);
  assert.equal(missingMerges(mirror(card(5, "body 5")), layers, merged).length, 1);
});

test("nothing is merged that has no common start or is decided as a whole", () => {
  assert.deepEqual(missingMerges(mirror(card(1, "theirs")), [edit(1, 0, "mine", { base: null })], none), []);
  const unit: Document = { ...card(4, "theirs"), kind: "unit", id: "unit" };
  const mine = edit(1, 3, "mine", { kind: "unit", doc: "unit" });
  assert.deepEqual(missingMerges(new Map([["unit/unit", unit]]), [mine], none), []);
});

test("an edit without a view gets one from the core, and keeps it", () => {
  const mine = edit(1, 3, "mine", { view: undefined as any });
  const docs = mirror(card(3, "body 3"));
  const [want] = missingMerges(docs, [mine], none);
  assert.deepEqual([want!.base, want!.head, want!.mine], [null, null, "mine"], "nothing is merged");
  const made = new Map([[want!.key, { body: "mine", view: "made" as any, questions: [] }]]);
  assert.equal(lay(docs, [mine], made).get("card/flip")!.view, "made");
  assert.deepEqual(missingMerges(docs, [mine], made), [], "asked for once");
  const unseen = edit(1, 2, "mine", { base: null, view: undefined as any });
  assert.equal(missingMerges(docs, [unseen], none)[0]!.head, null, "where nobody knows what the author saw, only the view is wanted");
});

test("a merge belongs to one epoch: the same numbers of a restored server are merged anew", () => {
  const layers = [edit(1, 3, "mine")];
  const before = mirror({ ...card(4, "body 4"), epoch: "e" } as Document);
  const after = mirror({ ...card(4, "another body 4"), epoch: "f" } as Document);
  const [first] = missingMerges(before, layers, none);
  const merged = new Map([[first!.key, { body: "both", questions: [] }]]);
  assert.equal(lay(before, layers, merged).get("card/flip")!.epoch, "e");
  assert.equal(missingMerges(after, layers, merged)[0]!.head, "another body 4");
});

test("an edit that stands in the document's history is not laid over again, though its receipt was lost", () => {
  const read = { ...card(4, "first"), history: [{ edit: "edit-1" }] as Document["history"] };
  const first = edit(1, 3, "first");
  const all = lay(mirror(read), [first], none).get("card/flip")!;
  assert.deepEqual([all.body, all.waiting, all.after], ["first", 0, undefined]);
  assert.deepEqual(missingMerges(mirror(read), [first], none), []);

  const later = edit(2, 3, "later", { base: "first" });
  assert.equal(lay(mirror(read), [first, later], none).get("card/flip")!.waiting, 1);
  const [want] = missingMerges(mirror(read), [first, later], none);
  assert.deepEqual([want!.base, want!.head, want!.mine], ["first", "first", "later"], "the author's own later change, and nobody else's");
});

test("an edit made of what is shown says that its author saw what is in it, and no more", () => {
  const head = mirror(card(5, "body 5"));
  const layers = [edit(1, 3, "first"), edit(2, 4, "second")];
  const [want] = missingMerges(head, layers, none);
  const joined = (more: Partial<Merged>) => new Map([[want!.key, { body: "both", questions: [], ...more }]]);
  const cases: [why: string, layers: Layer[], merged: ReadonlyMap<string, Merged>, rev: number][] = [
    ["merged with the newest", layers, joined({}), 5],
    ["not merged yet: the last one's own body", layers, none, 4],
    ["the merge could not be made", layers, joined({ body: "second", alone: true }), 4],
    ["what it counts from is not known here", [edit(1, 3, "mine", { base: null })], none, 3],
    ["new on both sides", [edit(1, 0, "mine", { base: null })], none, 0],
    ["a file brought an older one, shown as it is", [edit(1, 5, "here"), edit(2, 3, "there", { device: "other" })], none, 3],
    ["nothing came since", [edit(1, 5, "mine")], none, 5],
  ];
  for (const [why, of, merged, rev] of cases) assert.equal(lay(head, of, merged).get("card/flip")!.rev, rev, why);
});

test("an edit of another device that the mirror shows hides none of this one's", () => {
  const read = { ...card(4, "theirs"), history: [{ edit: "edit-2" }] as Document["history"] };
  const brought = edit(2, 3, "theirs", { device: "other" });
  const shown = lay(mirror(read), [edit(1, 3, "mine", { device: "this" }), brought], none).get("card/flip")!;
  assert.deepEqual([shown.body, shown.waiting, shown.after], ["mine", 1, "edit-1"]);
});
