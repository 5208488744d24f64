// Everything the screens may know and do. Screens import from here and from
// router.ts only; they never touch IndexedDB, the network or the core.

import { computed, type ReadonlySignal } from "@preact/signals";
import type { Case, Problem, Sheet, View } from "./generated/types";
import * as now from "./signals";
import { lay } from "./local/overlay";
import type { DocKind, OpenQuestion, Revision } from "./sync/protocol";

export type { DocKind, OpenQuestion, Person, Revision, Unit } from "./sync/protocol";

export interface Doc<B = any> {
  kind: DocKind;
  id: string;
  rev: number;
  seq: number;
  body: B;
  view?: View;
  questions: OpenQuestion[];
  history: Revision[];
  /** Edits of this document that are not on the server yet; body and view already hold them. */
  waiting: number;
  /** The edit laid over the server's revision, when there is one. Passed on by keep({from}). */
  after?: string;
}

/** The mirror has been read from this device. */
export const started: ReadonlySignal<boolean> = now.started;

/** Every document by "kind/id", with the waiting edits laid over. */
export const docs: ReadonlySignal<ReadonlyMap<string, Doc>> = computed(() =>
  lay(now.mirror.value, [...now.sent.value, ...now.outbox.value], now.merged.value),
);

export function docsOf<B = any>(kind: DocKind): Doc<B>[] {
  return [...docs.value.values()].filter((d) => d.kind === kind).sort((a, b) => (a.id < b.id ? -1 : 1));
}

export function doc<B = any>(kind: DocKind, id: string): Doc<B> | undefined {
  return docs.value.get(`${kind}/${id}`);
}

export interface Waiting {
  id: string;
  kind: DocKind;
  doc: string;
  author: string;
  made: string;
  reason: string;
  changes: string[];
  tries: number;
  lastTry: string | null;
  lastError: string | null;
}

/** Edits on this device that have no receipt from the server yet, oldest first. */
export const waiting: ReadonlySignal<Waiting[]> = computed(() =>
  now.outbox.value.map(({ id, kind, doc, author, made, reason, changes, tries, lastTry, lastError }) => ({
    id, kind, doc, author, made, reason, changes, tries, lastTry, lastError,
  })),
);

export interface Answer {
  id: string;
  outcome: string;
  kind: DocKind;
  doc: string;
  reason: string;
  problems: Problem[];
  body: any;
  at: string;
}

/** Receipts that were not plainly applied (merged, question, set aside). They stay until dismissed. */
export const answers: ReadonlySignal<Answer[]> = now.answers;

export interface Status {
  server: "reached" | "not reached" | "not tried";
  /** Time of the last successful reading from the server, by this device's clock, so that an age reckoned here is right. */
  asOf: string | null;
  waiting: number;
  core: "not started" | "starting" | "ready" | "failed";
  storage: "ok" | "blocked";
  storageText: string | null;
  persisted: boolean | null;
  /** A new version is wholly on this device and waits to be taken. */
  update: boolean;
  demo: boolean;
  readonly: boolean;
}

export const status: ReadonlySignal<Status> = computed(() => ({
  server: now.server.value,
  asOf: now.asOf.value,
  waiting: now.outbox.value.length,
  core: now.core.value,
  storage: now.storage.value.state,
  storageText: now.storage.value.text,
  persisted: now.persisted.value,
  update: now.update.value,
  demo: now.demo.value,
  readonly: now.readonly.value,
}));

/** The person chosen on this device. */
export const me: ReadonlySignal<string | null> = now.me;
export const look: ReadonlySignal<"dim" | "bright"> = now.look;

export { setLook, setMe } from "./local/device";
export { newId } from "./local/ids";
export { NotKept } from "./local/notkept";
export { bigChanges, check, diff, identityIn, keep, rank, sheetFromCase, type Keep } from "./local/keep";
export { dismissAnswer, waitingFile } from "./local/outbox";
export { revision } from "./local/revisions";
export { setAsideAfter, type SetAsideEdit } from "./local/setaside";
export { setAnswer, setTick, sheetUse, useSheet } from "./local/sheets";
export { sync } from "./sync/sync";
export { takeUpdate } from "./update";

export interface SheetUse {
  caseId: string;
  sheet: Sheet;
  madeAt: string;
  ticks: Record<string, string /* ISO time */>;
  answers: Record<string /* pause/line id */, { answer: string; note?: string; at: string }>;
}

export type { Case, Problem, Sheet, View };
