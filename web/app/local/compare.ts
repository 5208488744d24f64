// A restored server against what this device knows: rules 3 to 5 of "A restored
// server" in docs/sync.md. Pure.

import type { Document, Edit, Proposal, Revision } from "../sync/protocol";
import { besideIn } from "./beside";
import type { StoredEntry, StoredOwn } from "./outbox";
import { docKey } from "./overlay";
import { asSaid } from "./sign";
import { stable } from "./stable";

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
  /** By "kind/id": the lost revisions that come back from this device, each with the id its edit has now. */
  back?: Record<string, { rev: number; id: string }[]>;
}

/** Names an edit that is offered anew after what it says: two devices that hold the same edit offer the same one. */
export type NewId = (says: string) => string;

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
export function compare(before: Before, fresh: readonly Document[], answers: ReadonlyMap<string, boolean>, newId: NewId, at: string): Compared {
  const shown = editsIn(fresh);
  const has = (id: string) => shown.has(id) || answers.get(id) === true;
  const common = commonOf(before.docs, fresh);
  const back: NonNullable<Restore["back"]> = {};
  const restore: Restore = { epoch: before.epoch, common, renamed: {}, back };
  const again: number[] = [];
  const outbox: StoredEntry[] = [];
  const seen = revisionsOf(before.docs);
  for (const { received, entry } of inOrder(before)) {
    const there = has(entry.id);
    const key = docKey(entry.kind, entry.doc);
    const shared = common[key] ?? 0;
    const edit = JSON.parse(entry.text) as Edit;
    // A waiting one that the server has by now goes out as it is: its receipt was lost, and the repeat brings it.
    const is = there ? edit : offered(edit, restore, newId);
    const rev = seen.get(entry.id) ?? 0;
    if (rev > shared) (back[key] ??= []).push({ rev, id: is.id });
    if (received && there) continue;
    if (received) again.push(entry.n!);
    outbox.push({ ...countingFrom(entry, shared), id: is.id, text: is === edit ? entry.text : JSON.stringify(is) });
  }
  return { outbox, again, lost: lostOf(before, fresh, common, at), restore };
}

// Which revision of the ended epoch each edit made.
function revisionsOf(docs: readonly Document[]): Map<string, number> {
  return new Map(docs.flatMap((d) => d.history.map((r) => [r.edit, r.rev] as const)));
}

function inOrder(before: Before): { received: boolean; entry: StoredEntry }[] {
  const own = before.own.map(({ epoch: _epoch, seq: _seq, taken: _taken, ...entry }) => ({ received: true, entry }));
  const waiting = before.outbox.map((entry) => ({ received: false, entry }));
  return [...own, ...waiting].sort((a, b) => a.entry.n! - b.entry.n!);
}

/**
 * The edit as it may go to the restored server. Where it has to be another
 * edit, its new id is noted, so that those made after it name it.
 */
export function offered(edit: Edit, r: Restore, newId: NewId): Edit {
  const is = sealed(edit, reparented(edit, r));
  return is === edit ? edit : { ...is, id: (r.renamed[edit.id] ??= newId(stable(is))) };
}

type Named = Pick<Edit, "kind" | "doc" | "parent" | "after" | "takes" | "declines">;

// Nobody signs again what a restore changed: the person is not there, and the signature shows what was meant. The edit says what it said then.
function sealed<E extends Named & Sealed>(edit: E, is: E): E {
  return is === edit || edit.sig === undefined ? is : { ...is, was: edit.was ?? asSaid(edit as E & Edit) };
}

type Sealed = Pick<Edit, "sig" | "was">;

// The edit as it counts after a restore; the same object where nothing is to change.
function reparented<E extends Named>(edit: E, r: Restore): E {
  const key = docKey(edit.kind, edit.doc);
  const shared = r.common[key] ?? 0;
  if (edit.parent <= shared) return renaming(edit, r.renamed);
  // Counted from the shared revision alone, what its author took back of an own lost edit would stand as never touched.
  const saw = r.back?.[key]?.filter((b) => b.rev <= edit.parent).sort((a, b) => b.rev - a.rev)[0];
  const after = edit.after ?? saw?.id;
  return renaming({ ...edit, parent: shared, ...(after !== undefined && { after }) }, r.renamed);
}

// What an edit says of other edits that have another name now.
function renaming<E extends Named>(edit: E, renamed: Record<string, string>): E {
  const { after, takes, declines } = edit;
  if (![after, ...(takes ?? []), ...(declines ?? []).map((d) => d.proposal)].some((id) => id !== undefined && id in renamed)) return edit;
  const is = (id: string) => renamed[id] ?? id;
  return {
    ...edit,
    ...(after !== undefined && { after: is(after) }),
    ...(takes && { takes: takes.map(is) }),
    ...(declines && { declines: declines.map((d) => ({ ...d, proposal: is(d.proposal) })) }),
  };
}

/** The entry of an edit that counts from no later revision than this one now. Nobody here knows what that one says, so nothing is foreseen from it. */
export function countingFrom<E extends StoredEntry>(entry: E, shared: number): E {
  return entry.parent <= shared ? entry : { ...entry, parent: shared, base: null };
}

/**
 * What an edit counts from that was begun before restores and is kept after
 * them, as with an editor left open. It was never sent, so its id may stay.
 * epoch is that of the document as it was opened; where it is not known, the
 * edit counts as begun before all of them.
 */
export function carriedOver<E extends Named & Sealed>(edit: E, epoch: string | undefined, now: string | undefined, restores: readonly Restore[]): E {
  const from = epoch === now ? restores.length : Math.max(0, restores.findIndex((r) => r.epoch === epoch));
  return sealed(edit, restores.reduce((e, r, i) => (i < from ? renaming(e, r.renamed) : reparented(e, r)), edit));
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

/** Every edit that documents show: as a revision, or beside it. */
export function editsIn(docs: readonly Document[]): Set<string> {
  return new Set(docs.flatMap((d) => [
    ...d.history.map((r) => r.edit),
    ...besideIn(d),
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
