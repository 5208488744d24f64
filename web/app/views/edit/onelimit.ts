import type { Card, Limits } from "../../generated/types";
import type { ShownProposal } from "../../state";
import { withField } from "./withfield";

// One limit of one phase, taken out of a card and put back. Pure.

/** A number of a phase's limits, by its name in the vocabulary. */
export function limitOf(card: Card, phase: string, limit: string): string | undefined {
  return card.phases?.find((p) => p.key === phase)?.limits[limit as keyof Limits];
}

/** The card with another value there; everything else is as it was. */
export function withLimit(card: Card, phase: string, limit: string, value: string | undefined): Card {
  const id = limit as keyof Limits;
  const phases = card.phases?.map((p) => (p.key === phase ? { ...p, limits: withField(p.limits, id, value as Limits[typeof id]) } : p));
  return { ...card, ...(phases && { phases }) };
}

/** Proposals that wait and hold another value there than what they were made from. */
export function proposedAt(proposals: readonly ShownProposal[], phase: string, limit: string): { of: ShownProposal; value: string | undefined }[] {
  return proposals.filter((p) => !p.answered && p.base)
    .map((of) => ({ of, value: limitOf(of.body, phase, limit), was: limitOf(of.base, phase, limit) }))
    .filter(({ value, was }) => value !== was)
    .map(({ of, value }) => ({ of, value }));
}
