import type { Card } from "../generated/types";
import type { Doc, SheetUse, Waiting } from "../state";

/** When somebody last ticked, answered or made a sheet. */
function touched(use: SheetUse): string {
  return [use.madeAt, ...Object.values(use.ticks), ...Object.values(use.answers).map((a) => a.at)].reduce((a, b) => (a > b ? a : b));
}

/** The sheets of a day's list, the one last worked on first. Pure. */
export function lastWorked(uses: readonly SheetUse[], day: string): SheetUse[] {
  return uses.filter((u) => u.sheet.made.case.list === day)
    .map((use) => ({ use, at: touched(use) }))
    .sort((a, b) => (a.at > b.at ? -1 : 1))
    .map(({ use }) => use);
}

/** A surgeon's own cards: those of the day's list first, then the one changed last. Pure. */
export function cardsLastWorked(cards: readonly Doc<Card>[], owner: string, onList: ReadonlySet<string>, waits: readonly Pick<Waiting, "kind" | "doc" | "made">[]): Doc<Card>[] {
  const changed = (c: Doc<Card>) => [
    ...c.history.map((h) => h.made),
    ...waits.filter((w) => w.kind === "card" && w.doc === c.id).map((w) => w.made),
  ].reduce((a, b) => (a > b ? a : b), "");
  return cards.filter((c) => c.body.owner === owner)
    .map((of) => ({ of, listed: onList.has(of.id), at: changed(of) }))
    .sort((a, b) => Number(b.listed) - Number(a.listed) || (a.at > b.at ? -1 : a.at < b.at ? 1 : 0))
    .map(({ of }) => of);
}
