import assert from "node:assert/strict";
import test from "node:test";
import type { Shown } from "../app/generated/types";
import { choices } from "../app/generated/vocabulary";
import { changes, evenly, rowsOf, whole } from "../app/views/paper/matrix";
import { byPlace } from "../app/views/paper/place";

const shown = (id: string, value: string, unit?: string, extra?: string): Shown => ({ id, label: id.toUpperCase(), value, ...(unit && { unit }), ...(extra && { extra }) });

test("a table has a row for each limit that any phase states, each once", () => {
  const rows = rowsOf([
    [shown("mode", "pulse"), shown("vacuum", "80", "mmHg")],
    [shown("mode", "burst"), shown("burst", "60", "ms"), shown("vacuum", "420", "mmHg"), shown("cut", "5000")],
    [],
  ]);
  assert.deepEqual(rows, ["mode", "burst", "vacuum", "cut"].map((id) => ({ id, label: id.toUpperCase() })));
});

test("a limit that only a later phase begins with comes first", () => {
  const rows = rowsOf([[shown("vacuum", "80")], [shown("mode", "pulse"), shown("vacuum", "90")]]);
  assert.deepEqual(rows.map((r) => r.id), ["mode", "vacuum"]);
});

test("a value is never parted from its unit", () => {
  assert.equal(whole(shown("power", "45", "%", "linear")), "45\u00a0% linear");
});

test("what a variant changes: another value, another unit, another control, one more, one less", () => {
  const base = [shown("power", "45", "%", "linear"), shown("vacuum", "400", "mmHg"), shown("bottle", "80", "cm"), shown("pulse", "25")];
  const { other, gone } = changes(base, [shown("power", "45", "%", "fixed"), shown("vacuum", "480", "mmHg"), shown("bottle", "80", "mmHg"), shown("burst", "60", "ms")]);
  assert.deepEqual(other.map((v) => v.id), ["power", "vacuum", "bottle", "burst"]);
  assert.deepEqual(gone.map((v) => v.id), ["pulse"]);
  assert.deepEqual(changes(base, base), { other: [], gone: [] });
});

test("a long list is parted evenly and wholly", () => {
  for (let n = 0; n < 40; n++) {
    const list = Array.from({ length: n }, (_, i) => i);
    const parts = evenly(list, 8);
    assert.deepEqual(parts.flat(), list);
    assert.ok(parts.every((p) => p.length <= 8 && p.length > 0));
    const lengths = parts.map((p) => p.length);
    assert.ok(n === 0 || Math.max(...lengths) - Math.min(...lengths) <= parts.length);
  }
});

test("everything is laid by its place, mirrored or not, and a long place says that it goes on", () => {
  const things = [...choices.place, undefined].flatMap((place) => [{ place }, { place }]);
  for (const mirrored of [false, true]) assert.equal(byPlace(things, mirrored).flatMap((p) => p.things).length, things.length);
  const many = byPlace(Array.from({ length: 25 }, () => ({ place: "room" as const })));
  assert.deepEqual(many.map((p) => [p.place, p.continued]), [["room", false], ["room", true], ["room", true], ["room", true], ["room", true]]);
  assert.equal(byPlace([{ place: "front left" as const }], true)[0]!.place, "front right");
});
