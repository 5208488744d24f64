import { doc, waiting, stable, type Case, type DocKind, type SheetUse } from "../state";
import { textCase } from "../text-case";

export { stable };

const words = textCase.sheet;

/** What is newer than the sheet in use, in words, with a signature that changes whenever something newer still comes. */
export interface Newer {
  parts: { of: "card" | "rules" | "case"; text: string; changes: string[] }[];
  signature: string;
}

/** Compares the sheet in use with what this device holds now; null when nothing is newer. */
export function newerThan(use: SheetUse): Newer | null {
  const { made } = use.sheet;
  const parts = [
    newerDoc("card", made.card, made.card_revision, use.madeAt),
    newerDoc("rules", "house", made.rules_revision, use.madeAt),
    newerCase(use),
  ].filter((p) => p !== null);
  if (parts.length === 0) return null;
  return { parts, signature: parts.map((p) => p.text + p.changes.join("|")).join("\n") };
}

function newerDoc(kind: DocKind & ("card" | "rules"), id: string, revision: number, madeAt: string): Newer["parts"][number] | null {
  const now = doc(kind, id);
  if (!now) return null;
  const [nowText, waitingText] = kind === "card" ? [words.cardNow, words.cardWaiting] : [words.rulesNow, words.rulesWaiting];
  if (now.rev > revision) {
    return { of: kind, text: nowText(now.rev), changes: now.history.filter((h) => h.rev > revision).flatMap((h) => h.changes) };
  }
  // What waits beside the document is no part of it: a proposal, or an answer to one.
  const beside = new Set((now.proposals ?? []).map((p) => p.id));
  const edits = waiting.value.filter((w) => w.kind === kind && w.doc === id && w.made > madeAt && w.changes.length > 0 && !beside.has(w.id));
  return edits.length > 0 ? { of: kind, text: waitingText, changes: edits.flatMap((w) => w.changes) } : null;
}

function newerCase(use: SheetUse): Newer["parts"][number] | null {
  const now = doc<Case>("case", use.caseId);
  if (!now || stable(now.body) === stable(use.sheet.made.case)) return null;
  const last = now.history.filter((h) => h.made > use.madeAt || h.at > use.madeAt).flatMap((h) => h.changes);
  const edits = waiting.value.filter((w) => w.kind === "case" && w.doc === use.caseId && w.made > use.madeAt).flatMap((w) => w.changes);
  return { of: "case", text: words.caseNow, changes: [...new Set([...last, ...edits])] };
}

