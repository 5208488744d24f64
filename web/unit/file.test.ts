import assert from "node:assert/strict";
import test from "node:test";
import { editsIn, type Restore } from "../app/local/compare";
import { asOffered, readWaitingFile, waitingFileOf } from "../app/local/file";
import { NotKept } from "../app/local/notkept";
import type { Document, Edit } from "../app/sync/protocol";

const id = (digit: string) => digit.repeat(32);

function edit(digit: string, parent: number, after?: string): Edit {
  return {
    id: id(digit), kind: "card", doc: "flip", parent, ...(after && { after: id(after) }),
    author: "anna", device: id("d"), made: "2027-03-31T07:42:00Z", reason: "", body: { note: "é → 0.50", 4: "dense" },
  };
}

const text = (...edits: object[]) => waitingFileOf("e", edits.map((e) => ({ text: JSON.stringify(e) })));

test("what one device saves another one reads, byte for byte", () => {
  const waiting = [edit("1", 3), edit("2", 3, "1")];
  const file = readWaitingFile(text(...waiting));
  assert.equal(file.epoch, "e");
  assert.deepEqual(file.edits.map((e) => JSON.stringify(e)), waiting.map((e) => JSON.stringify(e)));
  assert.equal(readWaitingFile(waitingFileOf(null, [{ text: JSON.stringify(edit("1", 0)) }])).epoch, "", "a device that had read nothing yet");
});

test("a wrong file gets one sentence that says what is wrong", () => {
  const without = (field: keyof Edit) => ({ ...edit("1", 3), [field]: undefined });
  const cases: [why: string, file: string, says: RegExp][] = [
    ["nothing", "", /not a file of waiting edits/],
    ["a picture", "\u0089PNG", /not a file of waiting edits/],
    ["cut off", text(edit("1", 3)).slice(0, -20), /not a file of waiting edits/],
    ["other JSON", "[1]", /not a file of waiting edits/],
    ["null", "null", /not a file of waiting edits/],
    ["without an epoch", '{"edits":[{}]}', /not a file of waiting edits/],
    ["without edits", '{"epoch":"e","edits":[]}', /not a file of waiting edits/],
    ["no edit", '{"epoch":"e","edits":["x"]}', /edit 1 of the file is no edit/],
    ["the second has no id", text(edit("1", 3), without("id")), /edit 2 of the file has no right “id”/],
    ["a parent below nothing", text({ ...edit("1", 3), parent: -1 }), /“parent”/],
    ["a parent between two", text({ ...edit("1", 3), parent: 1.5 }), /“parent”/],
    ["after what is no id", text({ ...edit("1", 3), after: "yesterday" }), /“after”/],
    ["a device in capitals", text({ ...edit("1", 3), device: id("A") }), /“device”/],
    ["the device of the server itself", text({ ...edit("1", 3), device: id("0") }), /“device”/],
    ["a body that is a text", text({ ...edit("1", 3), body: "card" }), /“body”/],
    ["no body", text(without("body")), /“body”/],
    ["decides what is no list", text({ ...edit("1", 3), decides: "q" }), /“decides”/],
    ["decides what has no id", text({ ...edit("1", 3), decides: ["q"] }), /“decides”/],
    ["takes what has no id", text({ ...edit("1", 3), takes: [id("G")] }), /“takes”/],
    ["takes more than an edit may", text({ ...edit("1", 3), takes: Array(101).fill(id("2")) }), /“takes”/],
    ["declines in other words", text(edit("1", 3), { ...edit("1", 3), declines: [{ proposal: id("2"), reason: "no", by: "anna" }] }), /edit 2 of the file has no right “declines”/],
    ["declines without a reason", text({ ...edit("1", 3), declines: [{ proposal: id("2") }] }), /“declines”/],
    ["declines what has no id", text({ ...edit("1", 3), declines: [{ proposal: "p", reason: "no" }] }), /“declines”/],
    ["a name of more than 100 bytes", text({ ...edit("1", 3), doc: "é".repeat(51) }), /“doc”/],
    ["a kind of more than 100 bytes", text({ ...edit("1", 3), kind: "k".repeat(101) }), /“kind”/],
    ["a place in no chain", text({ ...edit("1", 3), chain: { n: 0, prev: "0".repeat(64) } }), /“chain”/],
    ["a chain with more in it", text({ ...edit("1", 3), chain: { n: 1, prev: "0".repeat(64), by: "x" } }), /“chain”/],
    ["a key that is none", text({ ...edit("1", 3), key: "k" }), /“key”/],
    ["checked by whom", text({ ...edit("1", 3), checked: "server" }), /“checked”/],
    ["a signature cut short", text({ ...edit("1", 3), sig: "A".repeat(85) }), /“sig”/],
    ["it was something that is no edit", text({ ...edit("1", 3), was: { id: id("2") } }), /“was”/],
    ["it declined in other words", text({ ...edit("1", 3), was: { id: id("2"), parent: 1, declines: [{ proposal: id("3"), reason: "no" }] } }), /“was”/],
    ["something no edit has", text({ ...edit("1", 3), patient: "x" }), /has “patient”, which no edit has/],
  ];
  for (const [why, file, says] of cases) {
    assert.throws(() => readWaitingFile(file), (e) => e instanceof NotKept && says.test(e.message) && e.message.startsWith("Nothing was taken in:"), why);
  }
});

test("answers to proposals are read, as long a list as an edit may have", () => {
  const answers = { ...edit("1", 3), doc: "d".repeat(100), takes: Array(100).fill(id("2")), declines: [{ reason: "no", proposal: id("3") }], decides: [id("4")] };
  assert.deepEqual(readWaitingFile(text(answers)).edits, [answers]);
});

test("a signature is read and comes along, and what it was made over is named where the edit is offered anew", () => {
  const signed: Edit = { ...edit("1", 3), takes: [id("2")], chain: { n: 1, prev: "0".repeat(64) }, key: id("e"), checked: "here", sig: "A".repeat(86) };
  const [read] = readWaitingFile(text(signed)).edits;
  assert.deepEqual(read, signed);
  const restores: Restore[] = [{ epoch: "old", common: { "card/flip": 2 }, renamed: {} }];
  const [anew] = asOffered({ epoch: "old", edits: [signed] }, "e", restores, new Set(), () => id("f"));
  assert.deepEqual(anew, { ...signed, id: id("f"), parent: 2, was: { id: id("1"), parent: 3, takes: [id("2")] } });
  assert.deepEqual(readWaitingFile(text(anew!)).edits, [anew], "and goes through a file once more");
});

test("edits of the epoch that holds are taken as they are", () => {
  const file = { epoch: "e", edits: [edit("1", 9)] };
  assert.equal(asOffered(file, "e", [], new Set(), () => assert.fail("no new id")), file.edits);
  const begun = { epoch: "", edits: [edit("1", 0), edit("2", 0, "1")] };
  assert.equal(asOffered(begun, "e", [], new Set(), () => assert.fail("no new id")), begun.edits, "the device had read nothing and made new documents");
});

test("a file of an epoch this device never met is refused", () => {
  for (const epoch of ["x", ""]) {
    assert.throws(() => asOffered({ epoch, edits: [edit("1", 1)] }, "e", [], new Set(), () => id("n")), NotKept);
  }
});

test("edits of an epoch that ended are offered anew as the device's own are, and alike the second time", () => {
  const restores: Restore[] = [
    { epoch: "old", common: { "card/flip": 2 }, renamed: {} },
    { epoch: "older", common: { "card/flip": 1 }, renamed: {} },
  ];
  const file = { epoch: "old", edits: [edit("1", 1), edit("2", 2), edit("3", 1, "2"), edit("4", 5), edit("5", 1, "4")] };
  let n = 0;
  const take = () => asOffered(file, "e", restores, new Set([id("4")]), () => `new${++n}`);
  const said = take().map((e) => [e.id, e.parent, e.after]);
  assert.deepEqual(said, [
    [id("1"), 1, undefined],
    ["new1", 1, undefined],
    ["new2", 1, "new1"],
    [id("4"), 5, undefined], // the server shows it: it is left alone, and so is its name
    [id("5"), 1, id("4")],
  ]);
  const back = [{ ...restores[0]!, renamed: {}, back: { "card/flip": [{ rev: 4, id: id("b") }] } }];
  const named = asOffered({ epoch: "old", edits: [edit("6", 5)] }, "e", back, new Set(), () => "new");
  assert.deepEqual(named.map((e) => [e.id, e.parent, e.after]), [["new", 2, id("b")]], "what comes back from here and its author saw is named");
  assert.deepEqual(take().map((e) => [e.id, e.parent, e.after]), said, "the same ids, so that nothing is taken twice");
});

test("a file is compared with all that the mirror shows: revisions, proposals and answers", () => {
  const head = {
    history: [{ edit: id("1") }], proposals: [{ id: id("2") }], answered: [{ proposal: id("3"), edit: id("4") }],
  } as unknown as Document;
  const restores: Restore[] = [{ epoch: "old", common: { "card/flip": 1 }, renamed: {} }];
  const file = { epoch: "old", edits: ["1", "2", "3", "4"].map((digit) => edit(digit, 2)) };
  assert.deepEqual(asOffered(file, "e", restores, editsIn([head]), () => assert.fail("the server has it")), file.edits);
});
