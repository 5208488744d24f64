import assert from "node:assert/strict";
import test from "node:test";
import { pack, sheetsOf, type Page, type Piece } from "../app/views/paper/pack";

// A made-up page of 100, in three columns.
const room = { height: 100, columns: 3 };

// A small generator of its own, so that every run tries the same histories (Park and Miller, "Random number generators: good ones are hard to find", 1988).
function numbers(seed: number) {
  let x = seed;
  return (most: number) => { x = (x * 48271) % 2147483647; return x % most; };
}

const placed = (pages: readonly Page[]) => pages.flatMap((p) => p.columns.flat());
const sum = (list: readonly number[]) => list.reduce((a, b) => a + b, 0);

test("everything is laid once and in order, whatever its height", () => {
  const draw = numbers(7);
  for (let round = 0; round < 500; round++) {
    const wide = Array.from({ length: draw(6) }, () => 1 + draw(60));
    const narrow: Piece[] = Array.from({ length: draw(60) }, () => ({ height: 1 + draw(130), ...(draw(5) === 0 && { keep: true }) }));
    const pages = pack(wide, narrow, room);
    assert.deepEqual(pages.flatMap((p) => p.wide), wide.map((_, i) => i));
    assert.deepEqual(placed(pages), narrow.map((_, i) => i));
    for (const page of pages) {
      assert.ok(page.columns.length <= room.columns);
      const high = room.height - sum(page.wide.map((i) => wide[i]!));
      for (const column of page.columns) {
        const tall = sum(column.map((i) => narrow[i]!.height));
        const alone = column.slice(0, -1).every((i) => narrow[i]!.keep); // a piece with its headings and nothing else
        assert.ok(tall <= high || alone, `a column of ${tall} on ${high}`);
      }
    }
  }
});

test("a heading stays with what it heads", () => {
  const narrow: Piece[] = [{ height: 95 }, { height: 5, keep: true }, { height: 20 }];
  assert.deepEqual(pack([], narrow, room)[0]!.columns, [[0], [1, 2]]);
});

test("what does not fit goes to a second page, which has room from the top", () => {
  const narrow: Piece[] = Array.from({ length: 7 }, () => ({ height: 60 }));
  const pages = pack([30], narrow, room);
  assert.deepEqual(pages.map((p) => p.columns.length), [3, 3, 1]);
});

test("a piece too high for what is left under the tables waits for a whole page", () => {
  const pages = pack([50], [{ height: 80 }], room);
  assert.deepEqual(pages, [{ wide: [0], columns: [] }, { wide: [], columns: [[0]] }]);
});

test("columns are not begun in the last strip of a page", () => {
  assert.equal(pack([95], [{ height: 4 }], room).length, 2);
});

test("a page counts as one sheet, and as more where one piece is higher than it", () => {
  const narrow: Piece[] = [{ height: 250 }];
  const [page] = pack([], narrow, room);
  assert.equal(sheetsOf(page!, [], narrow, room), 3);
  assert.equal(sheetsOf({ wide: [0], columns: [[0]] }, [40], [{ height: 60 }], room), 1);
});
