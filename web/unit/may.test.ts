import assert from "node:assert/strict";
import test from "node:test";
import type { PersonRole } from "../app/generated/types";
import { actionOf, allowed, rolesFor } from "../app/local/may";

test("what keeping a document is depends on whose it is", () => {
  const cases: [kind: string, owner: string | undefined, want: string][] = [
    ["card", "anna", "own card"], ["card", "ben", "propose"], ["case", undefined, "case"], ["rules", undefined, "rules"], ["person", undefined, "person"], ["record", undefined, "record"],
  ];
  for (const [kind, owner, want] of cases) assert.equal(actionOf(kind, "anna", owner), want, kind);
});

test("a role is offered what the server's table gives it, and a person with several what any of them may", () => {
  const cases: [roles: PersonRole[], action: Parameters<typeof allowed>[1], want: boolean][] = [
    [["surgeon"], "own card", true], [["scrub"], "own card", false], [["scrub"], "propose", true], [["reader"], "propose", false], [["reader"], "record", true],
    [["surgeon"], "rules", false], [["unit lead"], "rules", true], [["reader", "unit lead"], "rules", true], [[], "record", false],
  ];
  for (const [roles, action, want] of cases) assert.equal(allowed(roles, action), want, `${roles.join("+")}: ${action}`);
  assert.deepEqual(rolesFor("rules"), ["unit lead"]);
});
