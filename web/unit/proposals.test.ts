import assert from "node:assert/strict";
import test from "node:test";
import { aboutProposals } from "../app/local/beside";
import { lay, missingMerges, type Layer, type Merged } from "../app/local/overlay";
import { needsAnswer } from "../app/local/outcome";
import type { Document, Edit, Proposal, ProposalAnswer } from "../app/sync/protocol";

const body = (vacuum: number, owner = "anna") => ({ vacuum, owner });

function card(rev: number, vacuum: number, more: Partial<Document> = {}): Document {
  return { kind: "card", id: "flip", rev, seq: 100 + rev, body: body(vacuum), questions: [], history: [], ...more };
}

function edit(n: number, author: string, vacuum: number, more: Partial<Layer> = {}): Layer {
  return { n, id: `edit-${n}`, kind: "card", doc: "flip", parent: 3, author, base: body(350), body: body(vacuum), changes: [`vacuum ${vacuum}`], ...more };
}

function proposal(id: string, more: Partial<Proposal> = {}): Proposal {
  return { id, by: "ben", at: "", made: "", reason: "", parent: 3, changes: [], base: body(350), body: body(300), ...more };
}

const none: ReadonlyMap<string, Merged> = new Map();
const mirror = (d: Document) => new Map([["card/flip", d]]);
const shown = (d: Document, layers: Layer[]) => lay(mirror(d), layers, none).get("card/flip")!;

test("what somebody else writes stands beside the card and never in it", () => {
  const of = shown(card(3, 350), [edit(1, "ben", 300, { reason: "Softer" })]);
  assert.deepEqual(of.body, body(350));
  assert.equal(of.waiting, 0, "no edit of the card waits");
  assert.equal(of.after, undefined, "the next edit is not made on top of it");
  assert.deepEqual(of.proposals!.map((p) => [p.id, p.by, p.reason, p.changes, p.waits]), [["edit-1", "ben", "Softer", ["vacuum 300"], true]]);
});

test("the owner's edit shows, whoever else wrote at the same tablet", () => {
  const of = shown(card(3, 350), [edit(1, "ben", 300), edit(2, "anna", 400)]);
  assert.deepEqual(of.body, body(400));
  assert.equal(of.after, "edit-2");
  assert.deepEqual(of.proposals!.map((p) => p.id), ["edit-1"]);
});

test("a card that was handed over in a waiting edit is the next one's", () => {
  const handed = edit(1, "anna", 350, { body: body(350, "ben") });
  const of = shown(card(3, 350), [handed, edit(2, "ben", 300, { body: body(300, "ben") }), edit(3, "anna", 400)]);
  assert.deepEqual(of.body, body(300, "ben"));
  assert.deepEqual(of.proposals!.map((p) => p.by), ["anna"]);
});

test("a proposal asks for no merge: the card is not what it becomes", () => {
  assert.deepEqual(missingMerges(mirror(card(4, 350)), [edit(1, "ben", 300)], none), []);
});

test("a new card shows to the surgeon who starts it", () => {
  const docs = lay(new Map(), [edit(1, "anna", 350, { base: null })], none);
  assert.deepEqual(docs.get("card/flip")!.body, body(350));
  assert.equal(lay(new Map(), [edit(1, "ben", 350, { base: null })], none).get("card/flip"), undefined, "in another's name it is nobody's card");
});

test("a proposal that the mirror shows is there once, also when its receipt was lost", () => {
  const of = shown(card(3, 350, { proposals: [proposal("edit-1")] }), [edit(1, "ben", 300)]);
  assert.deepEqual(of.proposals!.map((p) => [p.id, p.waits]), [["edit-1", undefined]]);
  const answer = { proposal: "edit-1", fate: "declined" } as ProposalAnswer;
  assert.deepEqual(shown(card(3, 350, { answered: [answer] }), [edit(1, "ben", 300)]).proposals ?? [], []);
});

test("what stands beside the card does not go into it when its author becomes the owner", () => {
  const mine = edit(1, "ben", 300);
  const handed = (more: Partial<Document>) => shown(card(4, 350, { body: body(350, "ben"), ...more }), [mine]);
  const cases: [why: string, of: ReturnType<typeof shown>][] = [
    ["a proposal that waits", handed({ proposals: [proposal("edit-1")] })],
    ["one that was declined", handed({ answered: [{ proposal: "edit-1", fate: "declined" } as ProposalAnswer] })],
    ["an edit that answered", handed({ answered: [{ proposal: "p", edit: "edit-1" } as ProposalAnswer] })],
  ];
  for (const [why, of] of cases) assert.deepEqual([of.body, of.waiting, of.after], [body(350, "ben"), 0, undefined], why);
});

test("an answer by anybody but the owner is none", () => {
  const head = card(3, 350, { proposals: [proposal("a")] });
  for (const answer of [{ takes: ["a"] }, { takes: ["a"], answersOnly: true }, { declines: [{ proposal: "a", reason: "No." }], answersOnly: true }]) {
    assert.equal(shown(head, [edit(1, "cleo", 300, answer)]).proposals![0]!.answered, undefined, JSON.stringify(answer));
  }
  const handed = shown(head, [edit(1, "anna", 350, { takes: ["a"], answersOnly: true }), edit(2, "anna", 350, { body: body(350, "ben") })]);
  assert.equal(handed.proposals![0]!.answered, "taken", "the owner's stays one when the card is handed over");
});

test("one that its author wrote anew takes the place of the earlier one", () => {
  const of = shown(card(3, 350, { proposals: [proposal("edit-1")] }), [edit(2, "ben", 310, { after: "edit-1" })]);
  assert.deepEqual(of.proposals!.map((p) => p.id), ["edit-2"]);
});

test("an answer that waits is said, and a decline is no change of the card", () => {
  const head = card(3, 350, { proposals: [proposal("a"), proposal("b")] });
  const declines = edit(1, "anna", 350, { declines: [{ proposal: "a", reason: "No." }], answersOnly: true });
  const takes = edit(2, "anna", 300, { takes: ["b"] });
  const of = shown(head, [declines, takes]);
  assert.deepEqual(of.proposals!.map((p) => p.answered), ["declined", "taken"]);
  assert.equal(of.waiting, 1);
  assert.equal(of.after, "edit-2");
  assert.deepEqual(shown(head, [declines]).body, body(350));
});

test("an edit only answers when it leaves the card as its author saw it and settles nothing", () => {
  const e = (more: Partial<Edit>) => ({ body: { b: 1, a: [1] }, ...more }) as Edit;
  const seen = { a: [1], b: 1 };
  const declines = [{ proposal: "a", reason: "No." }];
  assert.equal(aboutProposals(e({ declines }), seen).answersOnly, true);
  assert.equal(aboutProposals(e({ declines }), { a: [2], b: 1 }).answersOnly, undefined);
  assert.equal(aboutProposals(e({ declines, decides: ["q"] }), seen).answersOnly, undefined);
  assert.equal(aboutProposals(e({}), seen).answersOnly, undefined);
});

test("a proposal is said to its author; an answer only where the server adds a reason", () => {
  assert.deepEqual([needsAnswer("proposal"), needsAnswer("answered"), needsAnswer("answered", "It had an answer already."), needsAnswer("applied", "The question stays open.")], [true, false, true, true]);
});
