import assert from "node:assert/strict";
import test from "node:test";
import { isFull, makingRoom } from "../app/local/notkept";

// What a storage of so many edits says, as IndexedDB does.
async function put(room: number, edits: number): Promise<number> {
  if (edits > room) throw new DOMException("no room", "QuotaExceededError");
  return edits;
}

test("what is kept beside a receipt makes room for it, at last all of it", async () => {
  const cases: [room: number, want: number][] = [[2000, 2000], [1999, 1000], [3, 3], [2, 1], [0, 0]];
  for (const [room, want] of cases) assert.equal(await makingRoom(2000, (most) => put(room, most)), want, `room for ${room}`);
});

test("where there is no room even then, or something else is wrong, that is said", async () => {
  const tried: number[] = [];
  await assert.rejects(makingRoom(2, (most) => (tried.push(most), put(-1, most))), isFull);
  assert.deepEqual(tried, [2, 1, 0], "it ends");
  await assert.rejects(makingRoom(2, () => Promise.reject(new Error("closed"))), /closed/);
});
