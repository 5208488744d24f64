import assert from "node:assert/strict";
import test from "node:test";
import { afterOf, carriedOver, commonRevisions, compare, inheriting, unasked, type Before, type Compared, type Restore } from "../app/local/compare";
import { idOf } from "../app/local/ids";
import type { StoredEntry, StoredOwn } from "../app/local/outbox";
import type { Document, Edit, Revision } from "../app/sync/protocol";

// A document is written as the ids of the edits its revisions came from: "a b c" stands at revision 3.
function card(history: string, doc = "flip"): Document {
  const edits = history.split(" ").filter(Boolean);
  return {
    kind: "card", id: doc, rev: edits.length, seq: edits.length, body: history, questions: [],
    history: edits.map((edit, i) => ({ rev: i + 1, edit, by: "ben" }) as Revision),
  };
}

// An edit is written as "id parent" or "id parent after".
function waits(n: number, short: string, doc = "flip"): StoredEntry {
  const [id, parent, after] = short.split(" ") as [string, string, string?];
  const edit: Edit = {
    id, kind: "card", doc, parent: Number(parent), ...(after && { after }),
    author: "anna", device: "d", made: "then", reason: "softer", body: `body of ${id}`,
  };
  return {
    n, id, kind: "card", doc, parent: edit.parent, author: "anna", made: "then", reason: "softer", text: JSON.stringify(edit),
    base: `body ${parent}`, changes: [], tries: 0, lastTry: null, lastError: null,
  };
}

const received = (n: number, short: string, doc = "flip"): StoredOwn => ({ ...waits(n, short, doc), epoch: "old", seq: n, taken: true });

const say = (e: StoredEntry) => {
  const { id, parent, after } = JSON.parse(e.text) as Edit;
  assert.equal(id, e.id, "the entry is named like its edit");
  return [id, parent, after].filter((part) => part !== undefined).join(" ");
};

function met(before: Partial<Before>, fresh: Document[], has: string[] = []): Compared {
  const all: Before = { epoch: "old", docs: [], own: [], outbox: [], ...before };
  const answers = new Map([...all.own, ...all.outbox].map((e) => [e.id, has.includes(e.id)]));
  return compare(all, fresh, answers, named("new"), "now");
}

function named(prefix: string): () => string {
  let n = 0;
  return () => `${prefix}${++n}`;
}

test("two histories have in common what they begin with", () => {
  const cases: [a: string, b: string, want: number][] = [
    ["a b c", "a b c", 3], ["a b c", "a b", 2], ["a b", "a b c", 2], ["a b c", "a x c", 1], ["a", "x", 0], ["", "a", 0],
  ];
  for (const [a, b, want] of cases) assert.equal(commonRevisions(card(a).history, card(b).history), want, `${a} / ${b}`);
});

test("what a restored server lacks is offered again", () => {
  const cases: [why: string, old: string, fresh: string, own: string[], outbox: string[], has: string[], want: string[]][] = [
    ["what it has is left alone", "a b", "a b", ["b 1"], [], [], []],
    ["what it has and does not show is left alone as well: it was set aside", "a", "a", ["s 1"], [], ["s"], []],
    ["a received edit goes as it is where its parent is there", "a b", "a", ["b 1"], [], [], ["b 1"]],
    ["a waiting one too", "a b", "a b", [], ["w 2"], [], ["w 2"]],
    ["received and waiting, in the order they were made", "a b", "a", ["b 1"], ["w 1 b"], [], ["b 1", "w 1 b"]],
    ["under a new id where its parent is gone", "a b c", "a", [], ["w 3"], [], ["new1 1"]],
    ["what comes after one offered anew is renamed with it", "a b c", "a", ["d 3"], ["w 3 d", "x 1 w"], [], ["new1 1", "new2 1 new1", "new3 1 new2"]],
    ["what comes after one that goes as it is keeps the name", "a b", "a", ["b 1", "c 1 b"], [], [], ["b 1", "c 1 b"]],
    ["another history of the same length shares nothing beyond the fork", "a b c", "a x y", ["c 2"], ["w 3 c"], [], ["new1 1", "new2 1 new1"]],
    ["a waiting one whose receipt was lost and that the server has goes as it is", "a b c", "a", [], ["w 3"], ["w"], ["w 3"]],
    ["a document that is gone begins anew", "a b", "", ["a 0", "b 1 a"], [], [], ["a 0", "new1 0 a"]],
    ["made and changed, both lost: the change counts from what was made", "a b", "", ["a 0", "b 1"], [], [], ["a 0", "new1 0 a"]],
    ["changed and taken back, both lost: counted from the shared revision the second would say nothing", "a b c", "a", ["b 1", "c 2"], [], [], ["b 1", "new1 1 b"]],
    ["changed, and changed again after somebody else: the later one names the own one in it", "a b o", "a", ["b 1"], ["w 3"], [], ["b 1", "new1 1 b"]],
    ["the newest of those its author saw is named, under the id it has now", "a b c d", "a", ["b 1", "c 2"], ["w 4", "x 2"], [], ["b 1", "new1 1 b", "new2 1 new1", "new3 1 b"]],
    ["an own one that its author had not read is not named", "a o b", "a", ["b 1"], ["w 2"], [], ["b 1", "new1 1"]],
    ["one that the server has at another place is named as it is", "a o b", "a b", ["b 1"], ["w 3"], [], ["new1 1 b"]],
  ];
  for (const [why, old, fresh, own, outbox, has, want] of cases) {
    const before = {
      docs: [card(old)],
      own: own.map((short, i) => received(i + 1, short)),
      outbox: outbox.map((short, i) => waits(own.length + i + 1, short)),
    };
    const found = met(before, fresh ? [card(fresh)] : [], has);
    assert.deepEqual(found.outbox.map(say), want, why);
  }
});

test("an edit offered anew says what it said: author, time, reason and body; what it counts from is not known here", () => {
  const [is] = met({ docs: [card("a b")], outbox: [waits(7, "w 2")] }, [card("a")]).outbox;
  const edit = JSON.parse(is!.text) as Edit;
  assert.deepEqual([edit.id, edit.author, edit.device, edit.made, edit.reason, edit.body], ["new1", "anna", "d", "then", "softer", "body of w"]);
  assert.deepEqual([is!.n, is!.base, is!.parent], [7, null, 1], "its place among the others stays, the lost revision is not what it counts from");
  const [shared] = met({ docs: [card("a b")], outbox: [waits(7, "w 1")] }, [card("a")]).outbox;
  assert.deepEqual([shared!.base, shared!.parent], ["body 1", 1], "a revision that is there is");
});

test("an answer to a proposal that was offered anew names its new id", () => {
  const answers = { ...waits(2, "t 1"), text: JSON.stringify({ ...JSON.parse(waits(2, "t 1").text), takes: ["p", "q"], declines: [{ proposal: "p", reason: "no" }] }) };
  const found = met({ docs: [card("a b")], own: [received(1, "p 2")], outbox: [answers] }, [card("a")]);
  assert.deepEqual(found.outbox.map(say), ["new1 1", "new2 1"]);
  const { takes, declines } = JSON.parse(found.outbox[1]!.text) as Edit;
  assert.deepEqual([takes, declines], [["new1", "q"], [{ proposal: "new1", reason: "no" }]]);
});

test("an edit that goes as it is goes byte for byte", () => {
  const spaced = { ...waits(1, "w 1"), text: '{"id":"w", "kind":"card", "doc":"flip", "parent":1, "body":0.50}' };
  assert.equal(met({ docs: [card("a")], outbox: [spaced] }, [card("a")]).outbox[0]!.text, spaced.text);
});

test("two devices that hold the same edit offer the same one, and other contents another", () => {
  const held = { docs: [card("a b")], own: [], outbox: [waits(7, "w 2")] };
  const offers = (more: Partial<Before> = {}, fresh = "a") =>
    compare({ epoch: "old", ...held, ...more }, [card(fresh)], new Map([["w", false], ["b", false]]), idOf, "now").outbox.at(-1)!.id;
  assert.ok(/^[0-9a-f]{32}$/.test(offers()));
  assert.equal(offers(), offers({ outbox: [waits(3, "w 2")] }), "its place on the device is no part of it");
  assert.notEqual(offers(), offers({}, "x"), "another parent");
  assert.notEqual(offers(), offers({ own: [received(1, "b 1")] }), "made on top of another edit");
});

test("an id made from a text is its FNV-1a hash of 128 bits", () => {
  // The published vectors of Go's hash/fnv (fnv_test.go, golden128a).
  const cases = { "": "6c62272e07bb014262b821756295c58d", a: "d228cb696f1a8caf78912b704e4a8964", ab: "08809544bbab1be95aa0733055b69a62", abc: "a68d622cec8b5822836dbc7977af7f3b" };
  for (const [text, want] of Object.entries(cases)) assert.equal(idOf(text), want, text);
  // The same package's answer for bytes beyond ASCII.
  assert.equal(idOf("é → 0.50"), "299d89e63079b85da354a2e59573d6ee");
});

test("what waits again leaves the own ones, and only that", () => {
  const found = met({ docs: [card("a b c")], own: [received(1, "b 1"), received(2, "c 2"), received(3, "s 1")] }, [card("a b")], ["s"]);
  assert.deepEqual(found.again, [2]);
  assert.equal("seq" in found.outbox[0]! || "epoch" in found.outbox[0]! || "taken" in found.outbox[0]!, false, "no receipt is left on it");
});

test("documents are compared each for itself", () => {
  const before = { docs: [card("a b"), card("p q", "chop")], own: [received(1, "b 1"), received(2, "q 1", "chop")], outbox: [waits(3, "w 2"), waits(4, "x 2", "chop")] };
  assert.deepEqual(met(before, [card("a"), card("p q", "chop")]).outbox.map(say), ["b 1", "new1 1 b", "x 2"]);
});

test("a second restore finds the same rules", () => {
  const first = met({ docs: [card("a b c")], own: [received(1, "b 1")], outbox: [waits(2, "w 3 b")] }, [card("a b")]);
  assert.deepEqual(first.outbox.map(say), ["new1 2 b"]);
  // The server took it, somebody else changed the card, and then an even older copy was restored.
  const again: Before = { epoch: "second", docs: [card("a b new1 o")], own: [received(1, "b 1"), { ...first.outbox[0]!, epoch: "second", seq: 3, taken: true }], outbox: [waits(3, "x 4")] };
  const second = compare(again, [card("a")], new Map([["b", false], ["new1", false], ["x", false]]), named("newer"), "later");
  assert.deepEqual(second.outbox.map(say), ["b 1", "newer1 1 b", "newer2 1 newer1"]);
  assert.deepEqual(second.outbox.map(afterOf), [undefined, "b", "newer1"]);
  assert.deepEqual(second.lost.map((l) => l.revisions.map((r) => r.edit)), [["o"]]);
  assert.equal(second.restore.epoch, "second");
});

test("what the server lost of others is set aside on the device, with the document as it was", () => {
  const cases: [why: string, old: string, fresh: string, own: string[], want: string[]][] = [
    ["nothing is lost", "a b", "a b", [], []],
    ["what others made", "a b c", "a", [], ["b", "c"]],
    ["not what this device made: that is sent again", "a b c", "a", ["b 1"], ["c"]],
    ["all of it is this device's own", "a b", "a", ["b 1"], []],
    ["the server has it at another place", "a b c", "a c", [], ["b"]],
    ["the document is gone", "a", "", [], ["a"]],
  ];
  for (const [why, old, fresh, own, want] of cases) {
    const { lost } = met({ docs: [card(old)], own: own.map((short, i) => received(i + 1, short)) }, fresh ? [card(fresh)] : []);
    assert.deepEqual(lost.flatMap((l) => l.revisions.map((r) => r.edit)), want, why);
    for (const l of lost) assert.deepEqual([l.key, l.document.body, l.at], ["old/card/flip", old, "now"], why);
  }
});

test("a proposal of somebody else that the server lost is set aside too, not one that it has or that was made here", () => {
  const proposing = (history: string, ...ids: string[]) => ({ ...card(history), proposals: ids.map((id) => ({ id, by: "ben" })) }) as Document;
  const own = [{ ...received(1, "mine 1"), taken: false }];
  const { lost } = met({ docs: [proposing("a", "gone", "there", "answered", "mine")], own }, [{ ...proposing("a", "there"), answered: [{ proposal: "answered" }] } as Document]);
  assert.deepEqual(lost.map((l) => [l.revisions.length, l.proposals.map((p) => p.id)]), [[0, ["gone"]]]);
});

test("nothing is guessed: an edit that neither the snapshot nor an answer speaks of is asked for", () => {
  const before: Before = { epoch: "old", docs: [], own: [received(1, "b 1"), received(2, "s 1")], outbox: [waits(3, "w 1")] };
  assert.deepEqual(unasked(before, [card("a b")], new Map()), ["s", "w"]);
  assert.deepEqual(unasked(before, [card("a b")], new Map([["s", false]])), ["w"]);
  assert.deepEqual(unasked(before, [card("a b")], new Map([["s", true], ["w", false]])), []);
});

test("an editor left open through a restore counts from what both histories share", () => {
  const restores: Restore[] = [
    { epoch: "one", common: { "card/flip": 3 }, renamed: { w: "w2" }, back: { "card/flip": [{ rev: 5, id: "w2" }, { rev: 7, id: "v" }] } },
    { epoch: "two", common: { "card/flip": 2 }, renamed: { w2: "w3" } },
  ];
  const cases: [why: string, edit: { parent: number; after?: string; doc?: string }, epoch: string | undefined, want: [number, string | undefined]][] = [
    ["opened after all restores", { parent: 5 }, "three", [5, undefined]],
    ["opened between them", { parent: 5 }, "two", [2, undefined]],
    ["opened before both", { parent: 4 }, "one", [2, undefined]],
    ["with an own lost edit in it: that is named, as it is called now", { parent: 6 }, "one", [2, "w3"]],
    ["with two of them: the newest", { parent: 7 }, "one", [2, "v"]],
    ["and one waiting on top of it, which says so itself", { parent: 7, after: "u" }, "one", [2, "u"]],
    ["its parent is shared", { parent: 1 }, "one", [1, undefined]],
    ["nobody knows when", { parent: 4 }, undefined, [2, undefined]],
    ["opened before any that is remembered", { parent: 4 }, "zero", [2, undefined]],
    ["a document the mirror did not have", { parent: 5, doc: "chop" }, "two", [0, undefined]],
    ["the one it comes after has another name now", { parent: 1, after: "w" }, "one", [1, "w3"]],
    ["also where the screen was between the two", { parent: 1, after: "w" }, "three", [1, "w3"]],
    ["one that kept its name", { parent: 1, after: "v" }, "one", [1, "v"]],
  ];
  for (const [why, edit, epoch, [parent, after]] of cases) {
    const is = carriedOver({ kind: "card", doc: "flip", ...edit }, epoch, "three", restores);
    assert.deepEqual([is.parent, is.after], [parent, after], why);
  }
  const answers = { kind: "card", doc: "flip", parent: 1, takes: ["w", "q"], declines: [{ proposal: "w", reason: "no" }] } as const;
  const { takes, declines } = carriedOver<Edit>({ ...answers } as unknown as Edit, "one", "three", restores);
  assert.deepEqual([takes, declines], [["w3", "q"], [{ proposal: "w3", reason: "no" }]], "proposals are answered by the names they have now");
});

// An edit that somebody signed, with what a restore may have to change.
function seal(e: StoredEntry): StoredEntry {
  const edit = { ...JSON.parse(e.text), takes: ["gone 0", "there"], declines: [{ proposal: "p", reason: "no" }], chain: { n: e.n, prev: "0" }, key: "k", sig: "s" };
  return { ...e, text: JSON.stringify(edit) };
}

const wasOf = (e: StoredEntry) => (JSON.parse(e.text) as Edit).was;

test("a signed edit that is offered anew says what it said when it was signed, and an unsigned one has nothing to say", () => {
  const { outbox } = met({ docs: [card("a b")], own: [seal(received(1, "b 1")) as StoredOwn], outbox: [seal(waits(2, "w 2 b")), waits(3, "u 2")] }, [card("a")]);
  assert.deepEqual(outbox.map((e) => [e.id, wasOf(e)]), [
    ["b", undefined], // its parent is there: it goes as it is
    ["new1", { id: "w", parent: 2, after: "b", takes: ["gone 0", "there"], declines: ["p"] }],
    ["new2", undefined],
  ]);
  for (const e of outbox.slice(0, 2)) assert.equal((JSON.parse(e.text) as Edit).sig, "s", "nobody signed again");
});

test("through a second restore it keeps saying what it said first", () => {
  const first = met({ docs: [card("a b c")], outbox: [seal(waits(1, "w 3"))] }, [card("a b")]);
  const second = met({ epoch: "newer", docs: [card("a b")], outbox: first.outbox }, [card("a")]);
  assert.equal(second.outbox[0]!.parent, 1);
  assert.deepEqual(wasOf(second.outbox[0]!), { id: "w", parent: 3, takes: ["gone 0", "there"], declines: ["p"] });
});

test("so does one that was signed while the server was restored", () => {
  const restores: Restore[] = [{ epoch: "old", common: { "card/flip": 1 }, renamed: { q: "q2" } }];
  const signed = { ...JSON.parse(seal(waits(1, "w 3 q")).text) } as Edit;
  const is = carriedOver(signed, "old", "now", restores);
  assert.deepEqual([is.id, is.parent, is.after, is.was], ["w", 1, "q2", { id: "w", parent: 3, after: "q", takes: ["gone 0", "there"], declines: ["p"] }]);
  assert.equal(carriedOver({ ...signed, parent: 1, after: undefined } as unknown as Edit, "old", "now", restores).was, undefined, "nothing was changed");
});

test("what was made on top of an edit that was set aside counts from what that one was made from", () => {
  const aside = { ...waits(1, "s 2"), base: "seen by the first" };
  const later = inheriting({ ...waits(2, "w 3 s"), base: "body of s" }, aside);
  assert.deepEqual([later.base, later.parent], ["seen by the first", 2]);
  assert.equal(say(later), "w 3 s", "the edit itself never changes");
});
