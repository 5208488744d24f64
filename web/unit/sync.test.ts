import assert from "node:assert/strict";
import test from "node:test";
import { follows } from "../app/local/follows";
import { needsAnswer, outcomeOf } from "../app/local/outcome";
import { queue } from "../app/local/queue";
import { envelope, nextBatch, sendable, type Waits } from "../app/sync/batch";
import { eventReader } from "../app/sync/events";
import type { Outcome, Receipt } from "../app/sync/protocol";
import { proven } from "../app/sync/reach";
import { judge } from "../app/sync/request";

const waits = (id: string, doc: string, text = `{"id":"${id}"}`): Waits => ({ id, kind: "card", doc, text });
const ids = (batch: Waits[]) => batch.map((e) => e.id).join(" ");

test("edits go out in the order they were made", () => {
  const queue = [waits("1", "a"), waits("2", "b"), waits("3", "a")];
  assert.equal(ids(nextBatch(queue, new Set(), false)), "1 2 3");
  assert.equal(ids(nextBatch(queue, new Set(), true)), "1", "alone: one at a time");
  assert.equal(ids(nextBatch(queue, new Set(["card/a"]), false)), "2", "a held document holds its later edits, not those of others");
});

test("a request never passes the server's limits, and one large edit still goes", () => {
  const many = Array.from({ length: 250 }, (_, i) => waits(String(i), `d${i}`));
  assert.equal(nextBatch(many, new Set(), false).length, 100);
  const large = ["1", "2", "3"].map((id) => waits(id, id, "x".repeat(900_000)));
  assert.equal(ids(nextBatch(large, new Set(), false)), "1 2");
  assert.equal(ids(nextBatch([waits("1", "a", "x".repeat(3_000_000))], new Set(), false)), "1");
  assert.deepEqual([sendable("x".repeat(1_800_000)), sendable("é".repeat(1_800_000))], [true, false], "bytes count, not letters");
});

test("work of one kind is done in the order it was asked for, whatever fails", async () => {
  const inTurn = queue();
  const done: string[] = [];
  const step = (name: string, ms: number) => inTurn(async () => {
    await new Promise((r) => setTimeout(r, ms));
    done.push(name);
    if (name === "fails") throw new Error(name);
    return name;
  });
  const all = await Promise.allSettled([step("slow", 20), step("fails", 5), step("quick", 0)]);
  assert.deepEqual(done, ["slow", "fails", "quick"]);
  assert.deepEqual(all.map((s) => s.status), ["fulfilled", "rejected", "fulfilled"]);
});

test("the text of an edit is sent byte for byte", () => {
  const text = '{"id":"1", "body":{"note":"é → 0.50"}}';
  assert.equal(envelope("d", "e", [waits("1", "a", text)]), `{"protocol":1,"epoch":"e","device":"d","edits":[${text}]}`);
  assert.equal(envelope("d", null, [waits("1", "a", text)]), `{"protocol":1,"device":"d","edits":[${text}]}`, "a device that knows no epoch any more");
});

test("a receipt repeated means what it meant the first time", () => {
  const receipt = (outcome: Outcome, first?: Outcome) => ({ outcome, first }) as Receipt;
  assert.equal(outcomeOf(receipt("merged")), "merged");
  assert.equal(outcomeOf(receipt("already applied", "set aside")), "set aside", "the first answer was lost on the way");
  assert.equal(outcomeOf(receipt("already applied")), "applied");
  for (const unknown of [undefined, "", "postponed", "already applied"]) {
    assert.equal(outcomeOf(receipt("already applied", unknown as Outcome | undefined)), unknown === undefined ? "applied" : null);
    if (unknown !== "already applied") assert.equal(outcomeOf(receipt(unknown as Outcome)), null, "the edit waits on");
  }
  assert.deepEqual(["applied", "merged", "question", "set aside"].map((o) => needsAnswer(o as Outcome)), [false, true, true, true]);
});

test("only the server's own words count as an answer", () => {
  const cases: [why: string, status: number, retry: string | null, value: unknown, want: string][] = [
    ["an answer", 200, null, { protocol: 1 }, "answer"],
    ["a sign-in page that answers JSON", 200, null, { login: "please" }, "lost"],
    ["another protocol", 200, null, { protocol: 2 }, "lost"],
    ["a proxy's error page", 502, null, null, "lost"],
    ["a proxy's JSON error", 503, "60", { message: "no upstream" }, "lost"],
    ["busy", 429, "20", { code: "busy", text: "Busy." }, "wait 20"],
    ["unavailable without a time", 503, null, { code: "unavailable", text: "…" }, "wait 5"],
    ["a time that is no number", 503, "Wed, 21 Oct 2026 07:28:00 GMT", { code: "unavailable", text: "…" }, "wait 5"],
    ["a time far too long", 503, "86400", { code: "unavailable", text: "…" }, "wait 300"],
    ["a restored server", 409, null, { code: "other epoch", text: "…" }, "refused"],
    ["our own fault", 400, null, { code: "bad request", text: "…" }, "refused"],
    ["the server's mistake", 500, null, { code: "internal", text: "…" }, "refused"],
    ["another machine's mistake", 500, null, null, "lost"],
  ];
  for (const [why, status, retry, value, want] of cases) {
    const got = judge(status, retry, value);
    assert.equal(got.kind === "wait" ? `wait ${got.seconds}` : got.kind, want, why);
  }
});

test("an answer without a protocol is one only where it is what was asked for", () => {
  const is = (found: { edit?: { id: string } } | null) => found?.edit?.id === "1";
  assert.equal(judge(200, null, { edit: { id: "1" } }, is).kind, "answer");
  for (const other of [null, {}, { edit: { id: "2" } }, { protocol: 1 }]) assert.equal(judge(200, null, other, is).kind, "lost");
});

test("the server is reached when the nonce comes back, not when something answers", () => {
  const health = { ok: true, nonce: "n", epoch: "e", seq: 1, core: "", readonly: false, demo: false };
  assert.deepEqual(proven(health, "n"), health);
  for (const other of [null, "ok", {}, { ok: true }, { ...health, nonce: "yesterday's" }, { ...health, ok: false }]) {
    assert.equal(proven(other, "n"), null);
  }
});

test("the mirror never turns back", () => {
  const here = { epoch: "e", seq: 10, asOf: "" };
  const cases: [why: string, meta: typeof here | undefined, p: { epoch: string; seq: number }, after: number | null, want: boolean][] = [
    ["first snapshot", undefined, { epoch: "e", seq: 5 }, null, true],
    ["changes that follow", here, { epoch: "e", seq: 12 }, 10, true],
    ["nothing new", here, { epoch: "e", seq: 10 }, 10, true],
    ["another tab was quicker", here, { epoch: "e", seq: 12 }, 8, false],
    ["changes of another server", here, { epoch: "f", seq: 12 }, 10, false],
    ["an old snapshot of the same server", here, { epoch: "e", seq: 9 }, null, false],
    ["a restored server with fewer records", here, { epoch: "f", seq: 3 }, null, true],
    ["changes without a mirror", undefined, { epoch: "e", seq: 3 }, 0, false],
  ];
  for (const [why, meta, p, after, want] of cases) assert.equal(follows(meta, p, after), want, why);
});

test("events are read wherever the pieces of the stream are cut", () => {
  const stream = ': hello\n\nevent: seq\ndata: {"seq":1}\n\n: beat\n\nevent: other\ndata: x\n\nevent: seq\r\ndata: {"seq":2}\r\n\r\n';
  for (let size = 1; size <= stream.length; size++) {
    const reader = eventReader("seq");
    const got: string[] = [];
    for (let at = 0; at < stream.length; at += size) got.push(...reader.take(stream.slice(at, at + size)));
    assert.deepEqual(got, ['{"seq":1}', '{"seq":2}'], `pieces of ${size}`);
  }
});
