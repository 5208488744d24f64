import type { Case } from "../generated/types";
import type { OpenQuestion } from "../state";

/** The case with one side of a question in its place. The case itself is not changed. */
export function caseWithSide(of: Case, q: OpenQuestion, side: "head" | "mine"): Case {
  if (side === "head") return of; // while a question is open the body holds this side
  const [part = "", fact] = q.unit.split("/");
  if (!fact) return { ...of, [part]: q.mine ?? undefined };
  const { [fact]: _, ...facts } = of.facts ?? {};
  return { ...of, facts: q.mine === null ? facts : { ...facts, [fact]: q.mine as string | string[] } };
}
