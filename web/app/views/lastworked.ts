import type { SheetUse } from "../state";

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
