import assert from "node:assert/strict";
import test from "node:test";
import { codeIn, isWhole, shownCode, strayIn } from "../app/local/code";

// The signs and the rule for readers are those of Douglas Crockford, "Base 32"
// (crockford.com/base32.html): no I, L, O, U; i and l read as 1, o as 0, hyphens as nothing.

test("what people type becomes the code as it is written", () => {
  const cases: [typed: string, shown: string][] = [
    ["4K7M-92XD", "4K7M-92XD"],
    ["4k7m92xd", "4K7M-92XD"],
    [" 4k7m 92xd ", "4K7M-92XD"],
    ["4K7M–92XD", "4K7M-92XD"], // a dash that a keyboard put in the hyphen's place
    ["il0o-LI00", "1100-1100"],
    ["4K7M-92XD77", "4K7M-92XD"],
    ["4K7M", "4K7M"],
    ["4K7M9", "4K7M-9"],
    ["", ""],
  ];
  for (const [typed, shown] of cases) assert.equal(shownCode(typed), shown, typed);
});

test("showing a shown code again changes nothing", () => {
  for (const typed of ["4k7m92xd", "o0ilIL-", "u?", "4K7M-9"]) assert.equal(shownCode(shownCode(typed)), shownCode(typed), typed);
});

test("each of the 32 signs passes, and what no code has is named", () => {
  const signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
  assert.equal(signs.length, 32);
  for (const sign of signs) assert.ok(isWhole(shownCode(sign.repeat(8))), sign);
  assert.equal(strayIn(shownCode("4K7U-92XD")), "U");
  assert.equal(strayIn(shownCode("4K7M-92X!")), "!");
  assert.equal(strayIn(shownCode("4K7M-92XD")), null);
  assert.equal(isWhole(shownCode("4K7M-92X")), false);
});

test("a code that came in an address is taken when it is whole", () => {
  assert.equal(codeIn("#4K7M-92XD"), "4K7M-92XD");
  assert.equal(codeIn("#4k7m92xd"), "4K7M-92XD");
  for (const other of ["", "#", "#4K7M", "#4K7U-92XD", "#what-it-does"]) assert.equal(codeIn(other), "", other);
});
