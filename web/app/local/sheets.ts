// Sheets in use on this device: frozen when made, with what was ticked and
// answered. A sheet in use never changes by itself; a newly made one replaces
// it when the person says so.

import { signal, type ReadonlySignal, type Signal } from "@preact/signals";
import type { Sheet } from "../generated/types";
import type { SheetUse } from "../state";
import { hint } from "./channel";
import { read, write } from "./db";
import { stillTrue } from "./carry";

const recentDays = 3;
const shown = new Map<string, Signal<SheetUse | null>>();

/** The frozen sheet of a case on this device; null when none was made here. */
export function sheetUse(caseId: string): ReadonlySignal<SheetUse | null> {
  const known = shown.get(caseId);
  if (known) return known;
  const fresh = signal<SheetUse | null>(null);
  shown.set(caseId, fresh);
  // Recent sheets are read before the first paint; an older one follows here.
  readSheet(caseId).catch(() => {});
  return fresh;
}

/** The sheets that this page holds: those of the last days, and what was opened since. */
export function sheetsInUse(): SheetUse[] {
  return [...shown.values()].map((s) => s.value).filter((use) => use !== null);
}

/** Reads the sheets of the last days and the one the address names, so that the first paint has them. */
export async function readSheets(now: Date, named: string | undefined): Promise<void> {
  const from = new Date(now.getTime() - recentDays * 86_400_000).toISOString();
  const found = await read(["sheets"], async (tx) => {
    const recent = await tx.objectStore("sheets").index("madeAt").getAll(IDBKeyRange.lowerBound(from));
    const one = named ? await tx.objectStore("sheets").get(named) : undefined;
    return one ? [...recent, one] : recent;
  });
  for (const use of found) show(use.caseId, use);
}

/** Reads again the sheets this page shows; another tab changed one. */
export async function rereadSheets(): Promise<void> {
  await Promise.all([...shown.keys()].map(readSheet));
}

async function readSheet(caseId: string): Promise<void> {
  show(caseId, (await read(["sheets"], (tx) => tx.objectStore("sheets").get(caseId))) ?? null);
}

function show(caseId: string, use: SheetUse | null): void {
  const known = shown.get(caseId);
  if (known) known.value = use && sameSheet(use, known.peek());
  else shown.set(caseId, signal(use));
}

// A sheet never changes: the storage's copy of it gives way to the one on the screen, so that a tick draws one row again and not the list.
function sameSheet(use: SheetUse, before: SheetUse | null): SheetUse {
  return before?.madeAt === use.madeAt ? { ...use, sheet: before.sheet } : use;
}

/** Freezes a newly made sheet. Ticks and answers stay where the new sheet says the same as the old one. */
export function useSheet(caseId: string, sheet: Sheet): Promise<void> {
  const madeAt = new Date().toISOString();
  return change(caseId, (old) => ({
    caseId,
    sheet,
    madeAt,
    ticks: stillTrue(old?.ticks ?? {}, old?.sheet, sheet),
    answers: stillTrue(old?.answers ?? {}, old?.sheet, sheet),
  }));
}

export function setTick(caseId: string, key: string, on: boolean): Promise<void> {
  const at = new Date().toISOString();
  return change(caseId, (old) => old && { ...old, ticks: withKey(old.ticks, key, on ? at : null) });
}

export function setAnswer(caseId: string, key: string, a: { answer: string; note?: string } | null): Promise<void> {
  const at = new Date().toISOString();
  return change(caseId, (old) => old && { ...old, answers: withKey(old.answers, key, a && { ...a, at }) });
}

/** Takes answers away, all of them or none: a pause that is started again has none left of the time before. */
export function clearAnswers(caseId: string, keys: readonly string[]): Promise<void> {
  return change(caseId, (old) => old && { ...old, answers: keys.reduce((left, key) => withKey(left, key, null), old.answers) });
}

// A press made twice by two connections gives the same result, so write may repeat it.
async function change(caseId: string, next: (old: SheetUse | undefined) => SheetUse | undefined): Promise<void> {
  const use = await write(["sheets"], async (tx) => {
    const changed = next(await tx.objectStore("sheets").get(caseId));
    if (changed) await tx.objectStore("sheets").put(changed);
    return changed;
  });
  if (use) show(caseId, use);
  hint("sheets");
}

function withKey<V>(record: Record<string, V>, key: string, value: V | null): Record<string, V> {
  const { [key]: _, ...rest } = record;
  return value === null ? rest : { ...rest, [key]: value };
}
