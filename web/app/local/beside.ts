// What waits beside a document and is no part of it: what somebody else than
// its owner wrote is a proposal, and answers to proposals change nothing. The
// same rule as the server's (docs/sync.md). Pure.

import type { DocKind, Document, Edit, Proposal } from "../sync/protocol";
import type { Layer } from "./overlay";
import { stable } from "./stable";

/** A proposal as this device knows it. */
export interface ShownProposal extends Proposal {
  /** It is kept here and not on the server yet. */
  waits?: boolean;
  /** The owner answered it on this device; the answer is not read back yet. */
  answered?: "taken" | "declined";
}

/** Whose a document is; undefined: everybody's. */
export function ownerOf(kind: DocKind, body: unknown): string | undefined {
  return kind === "card" ? (body as { owner?: string } | null)?.owner : undefined;
}

/** The edits that the document is shown with, and those that stand beside it. Each is judged by whose document it is with those before it. */
export function apart(head: Document | undefined, unread: readonly Layer[]): { laid: Layer[]; beside: Layer[]; answers: Layer[] } {
  const laid: Layer[] = [];
  const beside: Layer[] = [];
  const answers: Layer[] = []; // an answer by anybody but the owner is none
  let owner = head && ownerOf(head.kind, head.body);
  for (const l of unread) {
    owner ??= ownerOf(l.kind, l.body); // a new document
    const others = owner !== undefined && l.author !== owner;
    if (!others) answers.push(l);
    if (others || l.answersOnly) {
      beside.push(l);
      continue;
    }
    laid.push(l);
    owner = ownerOf(l.kind, l.body);
  }
  return { laid, beside, answers };
}

/** The edits that a document shows beside itself: proposals that wait, those that were answered, and the answers. */
export function besideIn(d: Pick<Document, "proposals" | "answered">): string[] {
  return [...(d.proposals ?? []).map((p) => p.id), ...(d.answered ?? []).flatMap((a) => [a.proposal, a.edit])];
}

/** The proposals that wait: the server's, and those of this device that the mirror does not show. One that its author replaced is left out. */
export function proposalsOf(head: Document | undefined, beside: readonly Layer[], answers: readonly Layer[]): ShownProposal[] {
  const here = beside.filter((l) => !l.answersOnly).map(asProposal);
  const replaced = new Set(here.map((p) => p.over));
  return [...(head?.proposals ?? []), ...here.map(({ over: _over, ...p }) => p)]
    .filter((p) => !replaced.has(p.id))
    .map((p) => ({ ...p, ...answerHere(answers, p.id) }));
}

function asProposal(l: Layer): ShownProposal & { over: string | undefined } {
  return {
    id: l.id, by: l.author, at: l.made ?? "", made: l.made ?? "", reason: l.reason ?? "", parent: l.parent, changes: l.changes ?? [],
    base: l.base, body: l.body, ...(l.decides && { decides: l.decides }), waits: !l.received, over: l.after,
  };
}

function answerHere(answers: readonly Layer[], id: string): Pick<ShownProposal, "answered"> {
  if (answers.some((l) => l.takes?.includes(id))) return { answered: "taken" };
  if (answers.some((l) => l.declines?.some((d) => d.proposal === id))) return { answered: "declined" };
  return {};
}

type AboutProposals = Pick<Layer, "after" | "decides" | "takes" | "declines" | "answersOnly">;

/** What an edit says about proposals. base is what its author saw. */
export function aboutProposals(e: Edit, base: unknown): AboutProposals {
  const { after, decides, takes, declines } = e;
  const answers = (takes?.length ?? 0) + (declines?.length ?? 0) > 0;
  return {
    ...(after && { after }), ...(decides && { decides }), ...(takes && { takes }), ...(declines && { declines }),
    ...(answers && !decides?.length && stable(e.body) === stable(base) && { answersOnly: true }),
  };
}
