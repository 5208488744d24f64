// A restored server against what this device knows: rules 3 to 5 of "A restored
// server" in docs/sync.md. Pure.

import type { DocKind, Document, Edit, Proposal, Revision } from "../sync/protocol";
import type { StoredEntry, StoredOwn } from "./outbox";
import { docKey } from "./overlay";

/** What this device held when it met the other epoch. */
export interface Before {
  epoch: string;
  docs: readonly Document[];
  own: readonly StoredOwn[];
  outbox: readonly StoredEntry[];
}

/** A restore this device has met: what an edit made before it counts from now. */
export interface Restore {
  /** The epoch that ended. */
  epoch: string;
  /** By "kind/id": how many revisions the mirror of that epoch and the restored server had in common. */
  common: Record<string, number>;
  /** The new ids of edits that were offered anew. */
  renamed: Record<string, string>;
}

/** A document of which the server lost what others made: revisions, or proposals that waited. */
export interface Lost {
  key: string; // "epoch/kind/id"
  at: string;
  document: Document;
  revisions: Revision[];
  proposals: Proposal[];
}

export interface Compared {
  /** Everything that waits now, in the order in which it was made. */
  outbox: StoredEntry[];
  /** The place ("n") of every own edit that waits again. */
  again: number[];
  lost: Lost[];
  restore: Restore;
}

/** How many revisions two histories begin with alike. */
export function commonRevisions(a: readonly Revision[], b: readonly Revision[]): number {
  let n = 0;
  while (n < a.length && n < b.length && a[n]!.edit === b[n]!.edit) n++;
  return n;
}

/** The own edits of which neither the snapshot nor an answer says whether the server has them. */
export function unasked(before: Before, fresh: readonly Document[], answers: ReadonlyMap<string, boolean>): string[] {
  const shown = editsIn(fresh);
  return [...before.own, ...before.outbox].map((e) => e.id).filter((id) => !shown.has(id) && !answers.has(id));
}

/**
 * Offers again whatever of this device the restored server has lost: edits that
 * had their receipt as well as waiting ones. An edit judged against a revision
 * its author never saw would pass for agreed, so one whose parent is gone goes
 * out under a new id, made from the newest revision that both histories share.
 */
export function compare(before: Before, fresh: readonly Document[], answers: ReadonlyMap<string, boolean>, newId: () => string, at: string): Compared {
  const shown = editsIn(fresh);
  const has = (id: string) => shown.has(id) || answers.get(id) === true;
  const common = commonOf(before.docs, fresh);
  const restore: Restore = { epoch: before.epoch, common, renamed: {} };
  const again: number[] = [];
  const outbox: StoredEntry[] = [];
  for (const { received, entry } of inOrder(before)) {
    const there = has(entry.id);
    if (received && there) continue;
    if (received) again.push(entry.n!);
    const shared = common[docKey(entry.kind, entry.doc)] ?? 0;
    // A waiting one that the server has by now goes out as it is: its receipt was lost, and the repeat brings it.
    const edit = JSON.parse(entry.text) as Edit;
    const is = there ? edit : offered(edit, shared, restore.renamed, newId);
    outbox.push({ ...entry, id: is.id, text: is === edit ? entry.text : JSON.stringify(is), parent: Math.min(entry.parent, shared) });
  }
  return { outbox, again, lost: lostOf(before, fresh, common, at), restore };
}

function inOrder(before: Before): { received: boolean; entry: StoredEntry }[] {
  const own = before.own.map(({ epoch: _epoch, seq: _seq, taken: _taken, ...entry }) => ({ received: true, entry }));
  const waiting = before.outbox.map((entry) => ({ received: false, entry }));
  return [...own, ...waiting].sort((a, b) => a.entry.n! - b.entry.n!);
}

/**
 * The edit as it may go to a server that shares only so many revisions with what
 * its author saw. Where it has to be another edit, its new id is noted, so that
 * those made after it name it.
 */
export function offered(edit: Edit, common: number, renamed: Record<string, string>, newId: () => string): Edit {
  const named = renaming(edit, renamed);
  if (edit.parent <= common && Object.keys(named).length === 0) return edit;
  const id = (renamed[edit.id] ??= newId());
  return { ...edit, id, parent: Math.min(edit.parent, common), ...named };
}

// What an edit says of other edits that have another name now.
function renaming({ after, takes, declines }: Edit, renamed: Record<string, string>): Partial<Edit> {
  const is = (id: string) => renamed[id] ?? id;
  return {
    ...(after !== undefined && after in renamed && { after: is(after) }),
    ...(takes?.some((id) => id in renamed) && { takes: takes.map(is) }),
    ...(declines?.some((d) => d.proposal in renamed) && { declines: declines.map((d) => ({ ...d, proposal: is(d.proposal) })) }),
  };
}

/**
 * What an edit counts from that was begun before restores and is kept after
 * them, as with an editor left open. It was never sent, so its id may stay.
 * epoch is that of the document as it was opened; where it is not known, the
 * edit counts as begun before all of them.
 */
export function carriedOver(
  edit: { kind: DocKind; doc: string; parent: number; after?: string },
  epoch: string | undefined,
  now: string | undefined,
  restores: readonly Restore[],
): { parent: number; after: string | undefined } {
  let { parent, after } = edit;
  const from = Math.max(0, restores.findIndex((r) => r.epoch === epoch));
  for (const r of epoch === now ? [] : restores.slice(from)) parent = Math.min(parent, r.common[docKey(edit.kind, edit.doc)] ?? 0);
  for (const r of restores) if (after !== undefined) after = r.renamed[after] ?? after;
  return { parent, after };
}

/**
 * An edit made on top of one that was set aside holds that one's changes too.
 * It counts from what that one was made from, or those would pass for agreed.
 */
export function inheriting<E extends StoredEntry>(later: E, aside: StoredEntry): E {
  return { ...later, base: aside.base, parent: aside.parent };
}

export function afterOf(e: StoredEntry): string | undefined {
  return (JSON.parse(e.text) as Edit).after;
}

/** Every edit that documents show: as a revision, as a proposal that waits, as one that was answered. */
export function editsIn(docs: readonly Document[]): Set<string> {
  return new Set(docs.flatMap((d) => [
    ...d.history.map((r) => r.edit),
    ...(d.proposals ?? []).map((p) => p.id),
    ...(d.answered ?? []).map((a) => a.proposal),
  ]));
}

function commonOf(old: readonly Document[], fresh: readonly Document[]): Record<string, number> {
  const now = new Map(fresh.map((d) => [docKey(d.kind, d.id), d.history]));
  return Object.fromEntries(old.map((d) => {
    const key = docKey(d.kind, d.id);
    return [key, commonRevisions(d.history, now.get(key) ?? [])];
  }));
}

// The device's own come back by themselves; those of others only when the devices that made them send them.
function lostOf(before: Before, fresh: readonly Document[], common: Record<string, number>, at: string): Lost[] {
  const safe = new Set([...[...before.own, ...before.outbox].map((e) => e.id), ...editsIn(fresh)]);
  return before.docs.flatMap((document) => {
    const key = docKey(document.kind, document.id);
    const revisions = document.history.slice(common[key]).filter((r) => !safe.has(r.edit));
    const proposals = (document.proposals ?? []).filter((p) => !safe.has(p.id));
    return revisions.length + proposals.length > 0 ? [{ key: `${before.epoch}/${key}`, at, document, revisions, proposals }] : [];
  });
}
