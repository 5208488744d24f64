import assert from "node:assert/strict";
import test from "node:test";
import { profile, type ProfilePhase } from "../app/drawing/profile";
import { parameters } from "../app/generated/vocabulary";

const shown = (id: string, value: string) => ({ id, label: id, value });
const phases: ProfilePhase[] = [
  { name: "Sculpt", kind: "sculpt", values: [shown("power", "60"), shown("vacuum", "400"), shown("flow", "25")] },
  { name: "Chop", kind: "chop", values: [shown("power", "40"), shown("vacuum", "260")], base: [shown("power", "40"), shown("vacuum", "400")] },
  { name: "Own", values: [shown("mode", "pulse")] },
  { name: "Asked", kind: "cortex", values: [shown("vacuum", "500")], asked: true },
];
const row = (id: string) => profile(phases).find((r) => r.id === id);

test("there is a column for each phase in each row, and every part of a bar lies in the drawing", () => {
  for (const r of profile(phases)) {
    assert.equal(r.columns.length, phases.length);
    for (const c of r.columns) for (const n of [c.height, c.base ?? 0, c.usual?.min ?? 0, c.usual?.max ?? 1]) assert.ok(n >= 0 && n <= 1, `${r.id} ${c.name}`);
  }
});

test("the scale is the vocabulary's own bound, so that the same value has the same height on every card", () => {
  for (const r of profile(phases)) assert.equal(r.max, parameters.find((p) => p.id === r.id)?.max);
  assert.equal(row("vacuum")?.columns[0]?.height, 400 / 700);
});

test("chopping vacuum left standing while sculpting ends outside the bracket; the chop's does not", () => {
  assert.deepEqual(row("vacuum")?.columns.map((c) => c.outside), [true, false, false, false]);
});

test("the card's own value is drawn only where the variant changed it", () => {
  assert.equal(row("vacuum")?.columns[1]?.base, 400 / 700);
  assert.equal(row("power")?.columns[1]?.base, null);
});

test("what is in question has no value, and what is not stated is no bar of 0", () => {
  const [, , own, asked] = row("vacuum")?.columns ?? [];
  assert.deepEqual([asked?.value, asked?.asked], [null, true]);
  assert.deepEqual([own?.value, own?.usual, own?.outside], [null, null, false]);
});

test("a row that no phase speaks of is left out", () => {
  assert.deepEqual(profile([{ name: "Own", values: [shown("vacuum", "100")] }]).map((r) => r.id), ["vacuum"]);
});
