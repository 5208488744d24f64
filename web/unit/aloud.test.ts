import assert from "node:assert/strict";
import test from "node:test";
import type { Pause, PauseLine } from "../app/generated/types";
import { recordEdit, recordId, recordTooOld } from "../app/local/record";
import type { NewRecord, SheetUse } from "../app/state";
import { goOn, opened, reading, stop } from "../app/views/clock";
import { lastWorked } from "../app/views/lastworked";
import { answerAfter, isStop, secondsLeft, tally } from "../app/views/pause";
import { recordOfAside, recordOfDone, recordsOf, recordTally } from "../app/views/record";

const line = (id: string, text: string, stored = ""): PauseLine => ({ id, text, ask: "reader", answer: "surgeon", stored, why: [] });
const eye = line("eye", "Which eye?", "right eye");
const hooks = line("hooks", "Where are the hooks?");
const pause: Pause = { id: "time out", when: "before", lines: [eye, hooks], words: 6, seconds: 10 };
const at = (n: number) => `2027-03-31T07:4${n}:00.000Z`;
const use = (answers: SheetUse["answers"]): SheetUse => ({
  caseId: "c1", madeAt: at(0), ticks: {}, answers,
  sheet: { made: { card: "a-card", card_revision: 3, rules_revision: 2, case: { id: "c1", list: "2027-03-31", position: 4, surgeon: "anna", card: "a-card" } } } as SheetUse["sheet"],
});
const done = use({ "time out/eye": { answer: "same", at: at(2) }, "time out/hooks": { answer: "not done", note: "on their way", at: at(1) } });

test("a stop is a doubt or a difference that nobody has settled", () => {
  assert.equal(isStop(eye, { answer: "different", at: at(1) }), true);
  assert.equal(isStop(eye, { answer: "different", note: "the form was wrong", at: at(1) }), false);
  assert.equal(isStop(hooks, { answer: "not sure", at: at(1) }), true);
  assert.equal(isStop(hooks, { answer: "not done", at: at(1) }), false);
  const t = tally(pause, { "time out/eye": { answer: "same", at: at(1) }, "time out/hooks": { answer: "not sure", at: at(2) } });
  assert.deepEqual([t.stops, t.finished], [1, false]);
});

test("an answer that settles a stop says that there was one", () => {
  const first = (word: string) => `at first ${word}`;
  const answer = (l: PauseLine, before: string | undefined, word: Parameters<typeof answerAfter>[2], note?: string, beforeNote?: string) =>
    answerAfter(l, before === undefined ? undefined : { answer: before, at: at(1), ...(beforeNote && { note: beforeNote }) }, word, note, first);
  assert.deepEqual(answer(hooks, undefined, "answered"), { answer: "answered" });
  assert.deepEqual(answer(hooks, "not sure", "answered"), { answer: "answered", note: "at first not sure" });
  assert.deepEqual(answer(eye, "different", "same"), { answer: "same", note: "at first different" });
  assert.deepEqual(answer(eye, "answered", "same", undefined, "at first not sure"), { answer: "same", note: "at first not sure" });
  assert.deepEqual(answer(eye, "answered", "different", undefined, "at first not sure"), { answer: "different" }); // a note would settle it
  assert.deepEqual(answer(eye, "different", "different", "the form was wrong"), { answer: "different", note: "the form was wrong" });
});

test("the seconds that are left are the whole pause at its first line and fall from line to line", () => {
  assert.equal(secondsLeft(pause, 0), 10);
  assert.ok(secondsLeft(pause, 1) < 10 && secondsLeft(pause, 1) > 0);
  assert.equal(secondsLeft(pause, 2), 0);
  assert.equal(secondsLeft({ ...pause, lines: [] }, 0), 0);
});

test("a record holds every line, by whom, and what the sheet was made from", () => {
  const r = recordOfDone(done, pause);
  assert.deepEqual([r.case, r.list, r.position, r.card, r.card_revision, r.rules_revision], ["c1", "2027-03-31", 4, "a-card", 3, 2]);
  assert.deepEqual([r.begun, r.ended, r.outcome], [at(1), at(2), "done"]);
  assert.deepEqual(r.lines, [
    { id: "eye", text: "Which eye?", ask: "reader", by: "surgeon", stored: "right eye", answer: "same", at: at(2) },
    { id: "hooks", text: "Where are the hooks?", ask: "reader", by: "surgeon", answer: "not done", note: "on their way", at: at(1) },
  ]);
  assert.deepEqual(recordTally(r), { of: 2, open: 0, notDone: 1, stops: 0 });
});

test("a pause that is put aside keeps the lines nobody answered", () => {
  const r = recordOfAside(use({ "time out/eye": { answer: "not sure", at: at(1) } }), pause, "called away", at(5));
  assert.deepEqual([r.outcome, r.reason, r.begun, r.ended, r.lines[1]?.answer], ["put aside", "called away", at(1), at(5), undefined]);
  assert.deepEqual(recordTally(r), { of: 2, open: 1, notDone: 0, stops: 1 });
  assert.equal(recordOfAside(use({}), pause, "called away", at(5)).begun, at(5));
});

test("the same pause is the same record; another answer, device or author is not the same edit", () => {
  const body: NewRecord = recordOfDone(done, pause);
  const again: NewRecord = recordOfDone(structuredClone(done), pause);
  assert.deepEqual(recordEdit(body, "theatre", "d1"), recordEdit(again, "theatre", "d1"));
  const other = { ...body, ended: at(3) };
  const ids = [recordEdit(body, "theatre", "d1"), recordEdit(body, "anna", "d1"), recordEdit(body, "theatre", "d2"), recordEdit(other, "theatre", "d1")].map((e) => e.id);
  assert.equal(new Set(ids).size, 4);
  assert.notEqual(recordId(body, "d1"), recordId(body, "d2"));
  assert.ok(/^[0-9a-f]{32}$/.test(recordId(body, "d1")));
});

test("records of 30 days are kept, of one case in their order", () => {
  const made = (days: number) => ({ kind: "record" as const, history: [{ at: new Date(Date.parse(at(0)) - days * 86_400_000).toISOString() }] as never });
  assert.equal(recordTooOld(made(29), at(0)), false);
  assert.equal(recordTooOld(made(31), at(0)), true);
  assert.equal(recordTooOld({ ...made(31), kind: "card" }, at(0)), false);
  const body = (id: string, c: string, ended: string) => ({ ...recordOfDone(done, pause), id, case: c, ended });
  assert.deepEqual(recordsOf([body("b", "c1", at(5)), body("x", "c2", at(1)), body("a", "c1", at(3))], "c1").map((r) => r.id), ["a", "b"]);
});

test("a clock begins when a drill is opened, stands, goes on, and begins again after ten minutes away", () => {
  const c = opened(undefined, 1_000);
  assert.equal(reading(c, 8_900), "0:07");
  assert.equal(reading(c, 761_000), "12:40");
  const stood = stop(c, 31_000);
  assert.equal(reading(stood, 90_000), "0:30");
  assert.equal(reading(stop(stood, 90_000), 95_000), "0:30");
  assert.equal(reading(goOn(stood, 91_000), 92_000), "0:31");
  assert.equal(reading(goOn(c, 5_000), 6_000), "0:05");
  assert.equal(opened({ ...c, seen: 31_000 }, 60_000).since, 1_000);
  assert.equal(opened({ ...c, seen: 31_000 }, 31_000 + 600_001).since, 631_001);
  assert.equal(opened(c, 500).since, 500); // the device's clock was put back
});

test("the sheet last worked on today comes first", () => {
  const sheet = (id: string, list: string, tick: string): SheetUse => {
    const u = structuredClone(use({}));
    u.caseId = id;
    u.sheet.made.case.list = list;
    u.ticks = { a: tick };
    return u;
  };
  const all = [sheet("old", "2027-03-30", at(9)), sheet("a", "2027-03-31", at(3)), sheet("b", "2027-03-31", at(5)), sheet("c", "2027-03-31", at(4))];
  assert.deepEqual(lastWorked(all, "2027-03-31").map((u) => u.caseId), ["b", "c", "a"]);
});
