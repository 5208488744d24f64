import assert from "node:assert/strict";
import test from "node:test";
import type { OfficeEvent } from "../app/sync/office";
import { joined, type Known } from "../app/views/office/events";

const known = (more: boolean, ...seqs: number[]): Known => ({ more, events: seqs.map((seq): OfficeEvent => ({ seq, at: "", what: "signed in" })) });
const seqs = (k: Known) => k.events.map((e) => e.seq).join(" ");

test("the newest page joins the older events that were asked for, and none is missing between them", () => {
  const cases: [name: string, before: Known, page: Known, after: string, more: boolean][] = [
    ["the first page", known(false), known(true, 9, 8, 7), "9 8 7", true],
    ["nothing happened", known(true, 9, 8, 7, 6, 5), known(true, 9, 8, 7), "9 8 7 6 5", true],
    ["one more", known(false, 9, 8, 7, 6, 5), known(true, 10, 9, 8), "10 9 8 7 6 5", false],
    ["a page full of others, just touching", known(false, 9, 8, 7), known(true, 11, 10, 9), "11 10 9 8 7", false],
    ["so many that some between were never read", known(false, 9, 8, 7), known(true, 14, 13, 12), "14 13 12", true],
    ["a filter lets only some through", known(false, 90, 40, 7), known(true, 95, 90), "95 90 40 7", false],
    ["everything fits the page", known(false, 2, 1), known(false, 3, 2, 1), "3 2 1", false],
    ["none", known(false), known(false), "", false],
  ];
  for (const [name, before, page, after, more] of cases) {
    const got = joined(before, page);
    assert.deepEqual([seqs(got), got.more], [after, more], name);
  }
});
