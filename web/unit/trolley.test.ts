import assert from "node:assert/strict";
import test from "node:test";
import { isOnTrolley, layout, mirrorPlace, nextPlace, places, put, shift, unmoved, type Direction, type Layout } from "../app/drawing/layout";
import type { Place } from "../app/generated/types";
import { choices } from "../app/generated/vocabulary";

interface Thing { key: string; place?: Place | undefined }

// Two things at every place of the vocabulary, and two with none.
const things: Thing[] = [...choices.place, undefined].flatMap((place, n) => [{ key: `a${n}`, place }, { key: `b${n}`, place }]);
const keysOf = (l: Layout<Thing>) => [...l.cells.flatMap((c) => c.items), ...l.rest.flatMap(([, items]) => items)].map((t) => t.key);
const at = (list: readonly Thing[], key: string) => list.find((t) => t.key === key)?.place;

test("the trolley has the six places of the vocabulary, back row first", () => {
  assert.deepEqual(places, ["back left", "back middle", "back right", "front left", "front middle", "front right"]);
  assert.deepEqual([...places].sort(), choices.place.filter(isOnTrolley).slice().sort());
});

test("every item is drawn once, mirrored or not", () => {
  for (const mirrored of [false, true]) assert.deepEqual(keysOf(layout(things, mirrored)).sort(), things.map((t) => t.key).sort());
});

test("no two items lie on one another: cell and order in it are an item's alone", () => {
  for (const mirrored of [false, true]) {
    const spots = layout(things, mirrored).cells.flatMap((c) => c.items.map((_, n) => `${c.row} ${c.column} ${n}`));
    assert.equal(new Set(spots).size, spots.length);
    assert.equal(spots.length, 12);
  }
});

test("mirror law: the mirrored trolley has the same rows, its columns turned round, and all else in its place", () => {
  const straight = layout(things), mirror = layout(things, true);
  for (const c of straight.cells) {
    const other = mirror.cells.find((m) => m.row === c.row && m.column === 2 - c.column);
    assert.deepEqual(other?.items, c.items);
    assert.equal(other?.place, mirrorPlace(c.place));
  }
  assert.deepEqual(mirror.rest, straight.rest);
});

test("a place mirrored twice is the place, and only the trolley is mirrored", () => {
  for (const p of choices.place) assert.equal(mirrorPlace(mirrorPlace(p)), p);
  assert.equal(mirrorPlace("front left"), "front right");
  assert.equal(mirrorPlace("back middle"), "back middle");
  assert.equal(mirrorPlace("drug tray"), "drug tray");
  assert.equal(mirrorPlace(undefined), undefined);
});

test("buttons move to the place beside it and stop at the edge", () => {
  const cases: [Place, Direction, Place | null][] = [
    ["front left", "right", "front middle"], ["front left", "left", null], ["front left", "up", "back left"], ["front left", "down", null],
    ["back right", "down", "front right"], ["back right", "right", null], ["machine", "left", null],
  ];
  for (const [from, by, to] of cases) assert.equal(nextPlace(from, by), to, `${from}, ${by}`);
});

test("a move in a mirrored trolley is the mirror of the move", () => {
  const turned: Record<Direction, Direction> = { left: "right", right: "left", up: "up", down: "down" };
  for (const p of places) for (const d of Object.keys(turned) as Direction[])
    assert.equal(nextPlace(mirrorPlace(p), turned[d]), mirrorPlace(nextPlace(p, d) ?? undefined) ?? null);
});

test("an item put elsewhere keeps all else; taken off the trolley it has no place", () => {
  const moved = put(things, "a0", "back right");
  assert.equal(at(moved, "a0"), "back right");
  assert.deepEqual(moved.filter((t) => t.key !== "a0"), things.filter((t) => t.key !== "a0"));
  assert.deepEqual(put(things, "a0", null)[0], { key: "a0" });
});

test("the order in a place is the order of the list, whatever lies between", () => {
  const list: Thing[] = [{ key: "a", place: "front left" }, { key: "x", place: "machine" }, { key: "b", place: "front left" }];
  assert.deepEqual(shift(list, "b", -1)?.map((t) => t.key), ["b", "x", "a"]);
  assert.equal(shift(list, "b", 1), null);
  assert.equal(shift(list, "x", 1), null);
});

test("whether anything was moved since", () => {
  assert.equal(unmoved(things, things), true);
  assert.equal(unmoved(things, [...things.slice(1), { key: "fresh", place: "front left" }]), true);
  assert.equal(unmoved(things, put(things, "a0", "back right")), false);
  assert.equal(unmoved(things, put(things, "a0", null)), false);
});
