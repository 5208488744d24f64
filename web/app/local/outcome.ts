// What the server's receipts mean here. Pure.

import type { Outcome, Receipt } from "../sync/protocol";

const understood: readonly Outcome[] = ["applied", "merged", "question", "set aside", "proposal", "answered"];

/** What a receipt means for the person, also when the answer of the first time was lost on the way; null where it says nothing known. */
export function outcomeOf(r: Receipt): Outcome | null {
  const outcome = r.outcome === "already applied" ? (r.first ?? "applied") : r.outcome;
  return understood.includes(outcome) ? outcome : null;
}

/** Whether the person has to hear about it: it did not simply become what was meant, or the server adds a reason. */
export function needsAnswer(outcome: Outcome, reason = ""): boolean {
  return reason !== "" || (outcome !== "applied" && outcome !== "answered");
}
