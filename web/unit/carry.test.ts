import assert from "node:assert/strict";
import test from "node:test";
import { stillTrue } from "../app/local/carry";
import type { Sheet } from "../app/generated/types";

function sheet(quantity: number, stored: string): Sheet {
  return {
    setup: [
      { key: "chopper", name: "Chopper", kind: "instrument", quantity, state: "open", why: [{ from: "card", id: "a", text: "card" }] },
      { key: "hooks", name: "Hooks", kind: "instrument", quantity: 1, state: "have ready", why: [] },
    ],
    pauses: [{ id: "time out", when: "", lines: [{ id: "lens-power", text: "Lens?", ask: "", answer: "", stored, why: [] }], words: 1, seconds: 1 }],
  } as unknown as Sheet;
}

test("a tick stays where the line says the same, whatever made the line", () => {
  const other = sheet(1, "21 D");
  other.setup[0]!.why = [{ from: "rule", id: "r", text: "house rule" }];
  const ticks = { chopper: "07:42", "setup/hooks": "07:43" };
  assert.deepEqual(stillTrue(ticks, sheet(1, "21 D"), other), ticks);
});

test("a tick goes where the line changed or is gone", () => {
  const ticks = { chopper: "07:42", "setup/hooks": "07:43", "time out/lens-power": "07:44", gone: "07:45" };
  assert.deepEqual(Object.keys(stillTrue(ticks, sheet(1, "21 D"), sheet(2, "22 D"))), ["setup/hooks"]);
});

test("without an older sheet nothing is compared", () => {
  assert.deepEqual(stillTrue({ a: "x" }, undefined, sheet(1, "")), { a: "x" }, "nothing was there before");
});
