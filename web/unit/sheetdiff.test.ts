import assert from "node:assert/strict";
import test from "node:test";
import type { SetupLine, Sheet, Shown } from "../app/generated/types";
import { differences } from "../app/views/sheetdiff";

const why = [{ from: "card" as const, id: "a", text: "card: A" }];
const item = (key: string, more: Partial<SetupLine> = {}): SetupLine => ({ key, name: key, kind: "instrument", quantity: 1, state: "open", why, ...more });
const limit = (id: string, label: string, value: string, unit: string): Shown => ({ id, label, value, unit });

function sheet(more: Partial<Sheet> = {}): Sheet {
  return {
    made: { card: "a", card_revision: 1, rules_revision: 1, case: { id: "c", list: "2030-01-31", position: 1, surgeon: "anna", card: "a" } },
    title: "Case 1", technique: "flip", facts: [{ factor: "eye", label: "Eye", text: "right eye" }],
    setup: [item("Chopper"), item("Gloves"), item("Spatula")], pauses: [], triggers: [],
    limits: [{ phase: "chop", name: "Chop", values: [limit("vacuum", "Vacuum", "350", "mmHg"), limit("flow", "Aspiration flow", "30", "mL/min")], why }],
    basics: [{ id: "glove_size", label: "Glove size", value: "7" }],
    ...more,
  };
}

/** In short: "changed Limits Chop: Vacuum 350 mmHg → 400 mmHg". */
const said = (from: Sheet, to: Sheet) => differences(from, to).map((d) => [d.change, d.part, d.name, ...d.changes.map((c) => `${c.was} → ${c.now}`)].join(" ").replaceAll("\u00a0", " "));

test("the result is told, not its steps: a glove size changed three times is one line with both its ends", () => {
  const now = sheet({ made: { ...sheet().made, card_revision: 4 }, basics: [{ id: "glove_size", label: "Glove size", value: "7.5" }] });
  assert.deepEqual(said(sheet(), now), ["changed Surgeon and machine Glove size 7 → 7.5"]);
});

test("items that come and go, values that change, what is struck", () => {
  const now = sheet({
    setup: [item("Chopper", { quantity: 2 }), item("Gloves", { struck: "substituted", instead: "Other gloves" }), item("Other gloves")],
    limits: [{ phase: "chop", name: "Chop", values: [limit("vacuum", "Vacuum", "400", "mmHg"), limit("flow", "Aspiration flow", "30", "mL/min")], why }],
  });
  assert.deepEqual(said(sheet(), now), [
    "changed Set up Chopper 1 × → 2 ×",
    "changed Set up Gloves nothing → Substituted: Other gloves",
    "added Set up Other gloves",
    "changed Limits Chop: Vacuum 350 mmHg → 400 mmHg",
    "removed Set up Spatula",
  ]);
});

test("what it was made from and why is no difference", () => {
  const other = [{ from: "rule" as const, id: "b", text: "house rule: B" }];
  const now = sheet({ made: { ...sheet().made, card_revision: 9, rules_revision: 9 }, setup: sheet().setup.map((l) => ({ ...l, why: other })) });
  assert.deepEqual(said(sheet(), now), []);
});

test("there and back: what one way is added is gone the other way, and a change changes its sides", () => {
  const now = sheet({ setup: [item("Chopper", { place: "front left" }), item("Hooks")], special: [{ weight: "caution", text: "Small pupil", why }], basics: [] });
  const there = differences(sheet(), now), back = differences(now, sheet());
  const turned = { added: "removed", removed: "added", changed: "changed" } as const;
  const key = (change: string, name: string, sides: string[]) => [change, name, ...sides].join("|");
  assert.deepEqual(
    there.map((d) => key(turned[d.change], d.name, d.changes.map((c) => c.now + c.was))).sort(),
    back.map((d) => key(d.change, d.name, d.changes.map((c) => c.was + c.now))).sort(),
  );
  assert.deepEqual(differences(now, now), []);
});
