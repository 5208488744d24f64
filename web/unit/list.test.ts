import assert from "node:assert/strict";
import test from "node:test";
import type { DrugLine, SetupLine, Sheet } from "../app/generated/types";
import { inPlace, newPlaces, orderNow, step, type Placed } from "../app/views/listorder";
import { competing, inARow, lenses, listSums, total, type ListCase } from "../app/views/listsums";

const why = [{ from: "card" as const, id: "a", text: "card: A" }];
const item = (name: string, more: Partial<SetupLine> = {}): SetupLine => ({ key: name.toLowerCase(), name, kind: "instrument", quantity: 1, state: "open", why, ...more });
const drug = (name: string, text: string): DrugLine => ({ key: name.toLowerCase(), name, text, state: "open", why });

function one(position: number, setup: SetupLine[], more: Partial<Sheet> = {}): ListCase {
  return {
    position,
    sheet: {
      made: { card: "a", card_revision: 1, rules_revision: 1, case: { id: `c${position}`, list: "2030-01-31", position, surgeon: "anna", card: "a" } },
      title: "", technique: "flip", facts: [], setup, limits: [], pauses: [], triggers: [], ...more,
    },
  };
}

/** A generator with a seed, so that a failure can be run again. */
function random(seed: number): (n: number) => number {
  let s = seed;
  return (n) => {
    s = (s * 1_103_515_245 + 12_345) % 2_147_483_648;
    return Math.floor((s / 2_147_483_648) * n);
  };
}

function shuffled<T>(list: readonly T[], rnd: (n: number) => number): T[] {
  const out = [...list];
  for (let i = out.length - 1; i > 0; i--) {
    const j = rnd(i + 1);
    [out[i], out[j]] = [out[j]!, out[i]!];
  }
  return out;
}

/** A list of cases of which any may want any thing, twice under two keys, in either state, struck or not. */
function anyList(rnd: (n: number) => number): ListCase[] {
  const names = ["Chopper", "chopper", "Hooks", "Swabs", "Ring"];
  return Array.from({ length: 1 + rnd(7) }, (_, n) => {
    const lines = Array.from({ length: rnd(8) }, () => item(names[rnd(names.length)]!, {
      quantity: 1 + rnd(5), state: rnd(2) ? "open" : "have ready", kind: rnd(3) ? "instrument" : "consumable", special: rnd(4) === 0, ...(rnd(5) === 0 && { struck: "withheld" as const }),
    }));
    return one(n + 1, lines, { drugs: rnd(2) ? [drug("Miotic", "10 mg/mL"), drug("Miotic", "20 mg/mL")] : [] });
  });
}

test("law: the sums are the same in whatever order the cases and their lines come", () => {
  for (let seed = 1; seed <= 300; seed++) {
    const rnd = random(seed);
    const list = anyList(rnd);
    const other = shuffled(list, rnd).map((c) => ({ ...c, sheet: { ...c.sheet, setup: shuffled(c.sheet.setup, rnd) } }));
    assert.deepEqual(listSums(other), listSums(list), `seed ${seed}`);
    assert.deepEqual(competing(listSums(other), list.length), competing(listSums(list), list.length), `seed ${seed}`);
  }
});

test("law: nothing is lost and nothing is invented: all sums together are all lines that are not struck", () => {
  for (let seed = 1; seed <= 300; seed++) {
    const list = anyList(random(seed));
    const lines = list.flatMap((c) => [...c.sheet.setup.filter((l) => !l.struck).map((l) => l.quantity), ...(c.sheet.drugs ?? []).map(() => 1)]);
    const sums = listSums(list);
    assert.equal(sums.reduce((n, s) => n + total(s.shares), 0), lines.reduce((a, b) => a + b, 0), `seed ${seed}`);
    assert.equal(sums.reduce((n, s) => n + s.shares.length, 0), lines.length, `seed ${seed}`);
    for (const s of sums) assert.equal(total(s.shares, "open") + total(s.shares, "have ready"), total(s.shares), `seed ${seed}`);
    assert.equal(new Set(sums.map((s) => s.key)).size, sums.length, `seed ${seed}: a thing stands once`);
  }
});

test("a drug of another strength is another thing", () => {
  const list = [one(1, [], { drugs: [drug("Cefuroxime", "10 mg/mL, 1 mg")] }), one(2, [], { drugs: [drug("Cefuroxime", "1 mg/mL, 1 mg")] })];
  assert.deepEqual(listSums(list).map((s) => [s.text, total(s.shares)]), [["1 mg/mL, 1 mg", 1], ["10 mg/mL, 1 mg", 1]]);
});

test("a line that two people changed differently is said to be so in its case", () => {
  const list = [{ ...one(1, [item("Chopper")]), asked: new Set(["items/chopper"]) }, one(2, [item("Chopper")])];
  assert.deepEqual(listSums(list)[0]?.shares.map((s) => [s.position, s.asked]), [[1, true], [2, false]]);
});

test("cases compete for what some of them ask for and not all", () => {
  const ring = item("Ring", { special: true, kind: "implant" }), dye = item("Dye", { special: true, kind: "consumable" });
  const swabs = item("Swabs", { kind: "consumable" }), speculum = item("Speculum"), chopper = item("Chopper"), hooks = item("Hooks", { special: true });
  const list = [one(1, [speculum, chopper, ring, swabs]), one(2, [speculum, dye, swabs]), one(3, [speculum, chopper, dye, ring]), one(4, [speculum, hooks])];
  assert.deepEqual(competing(listSums(list), 4).map((s) => s.name), ["Ring", "Chopper", "Dye"]);
});

test("cases in a row, also over a place that is empty", () => {
  assert.equal(inARow([1, 3], [1, 2, 3]), false);
  assert.equal(inARow([1, 3], [1, 3, 4]), true);
  assert.equal(inARow([2], [1, 2, 3]), false);
});

test("a lens power is summed over the cases that plan it and that hold it as a spare", () => {
  const plan = (position: number, power: string, backup: string) =>
    one(position, [], { facts: [{ factor: "lens-power", label: "Lens power", text: power }, { factor: "backup-power", label: "Backup", text: backup }] });
  assert.deepEqual(lenses([plan(2, "21.5 D", "9 D"), plan(1, "21.5 D", "21.5 D")]), [
    { power: "9 D", planned: [], backup: [2] },
    { power: "21.5 D", planned: [1, 2], backup: [1] },
  ]);
});

const places = (...list: [string, number][]): Placed[] => list.map(([id, position]) => ({ id, position }));

test("a step changes two neighbours and stops at the ends", () => {
  assert.deepEqual(step(["a", "b", "c"], "c", -1), ["a", "c", "b"]);
  assert.deepEqual(step(["a", "b", "c"], "a", -1), ["a", "b", "c"]);
  assert.deepEqual(step(["a", "b", "c"], "x", 1), ["a", "b", "c"]);
});

test("law: after the new places are written, the list stands in the order asked for, with every case once", () => {
  for (let seed = 1; seed <= 500; seed++) {
    const rnd = random(seed);
    const cases = Array.from({ length: 1 + rnd(9) }, (_, i) => ({ id: `c${i}`, position: 1 + rnd(9) })); // places may be shared and missing
    const wanted = shuffled(cases, rnd);
    const moves = newPlaces(wanted);
    const now = cases.map((c) => ({ ...c, position: moves.find((m) => m.of.id === c.id)?.position ?? c.position }));
    assert.deepEqual(inPlace(now).map((c) => c.id), wanted.map((c) => c.id), `seed ${seed}`);
    assert.equal(new Set(now.map((c) => c.position)).size, now.length, `seed ${seed}: no place is shared`);
    assert.deepEqual(newPlaces(inPlace(now)), [], `seed ${seed}: done is done`);
  }
});

test("places that are all different stay in use, and only what moved is written", () => {
  const list = places(["a", 1], ["b", 2], ["c", 5]);
  assert.deepEqual(newPlaces([list[0]!, list[2]!, list[1]!]).map((m) => [m.of.id, m.position]), [["c", 2], ["b", 5]]);
});

test("what came meanwhile stands at the end, what went is gone", () => {
  assert.deepEqual(orderNow(["b", "gone", "a"], places(["a", 1], ["b", 2], ["new", 1])).map((c) => c.id), ["b", "a", "new"]);
});
