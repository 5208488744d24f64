import assert from "node:assert/strict";
import test from "node:test";
import type { Card } from "../app/generated/types";
import type { Doc, ShownProposal } from "../app/state";
import { limitOf, proposedAt, withLimit } from "../app/views/edit/onelimit";
import { offeredReasons, withReason } from "../app/views/edit/reasonlist";
import { cardsLastWorked } from "../app/views/lastworked";

const card: Card = {
  id: "anna-chop", title: "Chop", technique: "horizontal chop", owner: "anna", basics: {}, machine: {},
  phases: [{ key: "chop", name: "Chop", limits: { vacuum: "400", flow: "35" } }, { key: "cortex", name: "Cortex", limits: { vacuum: "500" } }],
};

test("one limit of one phase changes and nothing else does", () => {
  const changed = withLimit(card, "chop", "vacuum", "390");
  assert.equal(limitOf(changed, "chop", "vacuum"), "390");
  assert.deepEqual(withLimit(changed, "chop", "vacuum", "400"), card);
  assert.equal(limitOf(card, "chop", "vacuum"), "400", "the card itself stays as it is");
});

test("a limit without a value is taken away, as the card's form has it", () => {
  assert.deepEqual(withLimit(card, "chop", "vacuum", undefined).phases?.[0]?.limits, { flow: "35" });
});

test("a phase that is not there changes nothing", () => {
  assert.deepEqual(withLimit(card, "polish", "vacuum", "10"), card);
  assert.equal(limitOf(card, "polish", "vacuum"), undefined);
});

test("a proposal is told where it holds another value than what it was made from, and not once it is answered", () => {
  const proposal = (vacuum: string, more: Partial<ShownProposal> = {}) => ({ id: vacuum, by: "carl", base: card, body: withLimit(card, "chop", "vacuum", vacuum), ...more }) as ShownProposal;
  const told = (p: ShownProposal[], limit = "vacuum") => proposedAt(p, "chop", limit).map((x) => x.value);
  assert.deepEqual(told([proposal("360"), proposal("400"), proposal("370", { answered: "taken" })]), ["360"]);
  assert.deepEqual(told([proposal("360")], "flow"), []);
});

test("the own reasons stand first, the last one given before the others, and three are remembered", () => {
  assert.deepEqual(withReason(["a", "b", "c"], "d"), ["d", "a", "b"]);
  assert.deepEqual(withReason(["a", "b", "c"], "b"), ["b", "a", "c"]);
  assert.deepEqual(offeredReasons(["softer today", "slip"], ["slip", "team"]), ["softer today", "slip", "team"]);
});

test("of the own cards those of the day's list come first, then the one changed last, waiting edits counted", () => {
  const of = (id: string, owner: string, made: string) => ({ id, body: { ...card, id, owner }, history: [{ made }] }) as unknown as Doc<Card>;
  const cards = [of("old", "anna", "2030-01-01"), of("new", "anna", "2030-03-01"), of("other", "carl", "2030-04-01"), of("waits", "anna", "2029-01-01")];
  const ids = (onList: string[], waits: { kind: "card"; doc: string; made: string }[]) => cardsLastWorked(cards, "anna", new Set(onList), waits).map((c) => c.id);
  assert.deepEqual(ids([], []), ["new", "old", "waits"]);
  assert.deepEqual(ids(["old"], []), ["old", "new", "waits"]);
  assert.deepEqual(ids([], [{ kind: "card", doc: "waits", made: "2030-05-01" }]), ["waits", "new", "old"]);
});
