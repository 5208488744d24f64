// Edits that the mirror does not show yet, laid over the documents the server
// sent. Pure: no storage, no signals. The entries themselves never change.

import type { View } from "../generated/types";
import type { Doc } from "../state";
import type { Decline, DocKind, Document, OpenQuestion } from "../sync/protocol";
import { apart, besideIn, proposalsOf } from "./beside";

/** A document as this device holds it. */
export interface Held extends Document {
  /** The epoch its revisions belong to. */
  epoch?: string;
}

/** One edit to lay over its document. */
export interface Layer {
  n: number; // place in the outbox; the order in which the person made them
  id: string;
  kind: DocKind;
  doc: string;
  parent: number;
  author: string;
  device?: string; // that the edit was made on: a file brings those of others
  body: unknown;
  base: unknown; // what it counts from; null where there was no document or nobody knows
  view?: View;
  received?: boolean; // the server has it, the mirror does not show it yet
  after?: string;
  made?: string;
  reason?: string;
  changes?: string[];
  decides?: string[];
  takes?: string[];
  declines?: Decline[];
  answersOnly?: boolean; // it answers proposals and leaves the document as its author saw it
}

/** What the core made of the server's body and mine, by mergeKey. */
export interface Merged {
  body: unknown;
  view?: View;
  questions: OpenQuestion[];
  /** The merge could not be made: the body is the author's own. */
  alone?: boolean;
}

/** A merge the core has to do because the server's document moved past the revision the author saw; without a head, only the view of mine is wanted. */
export interface ToMerge {
  key: string;
  kind: DocKind;
  doc: string; // "kind/id"
  edit: string;
  author: string;
  base: unknown;
  head: unknown;
  mine: unknown;
}

export function docKey(kind: DocKind, id: string): string {
  return `${kind}/${id}`;
}

/** Lays the edits over the mirror. Where a merge is needed and not done yet, the author's own body is shown. */
export function lay(
  mirror: ReadonlyMap<string, Held>,
  layers: readonly Layer[],
  merged: ReadonlyMap<string, Merged>,
): Map<string, Doc> {
  const docs = new Map<string, Doc>();
  for (const [key, d] of mirror) docs.set(key, { ...d, waiting: 0 });
  for (const [key, all] of byDocument(layers)) {
    const head = mirror.get(key);
    const { laid, beside, answers } = apart(head, unread(head, all));
    const shown = laid.length > 0 ? layOne(head, laid, merged) : docs.get(key);
    if (shown && laid.length + beside.length > 0) docs.set(key, { ...shown, proposals: proposalsOf(head, beside, answers) });
  }
  return docs;
}

function layOne(head: Held | undefined, own: Layer[], merged: ReadonlyMap<string, Merged>): Doc {
  const last = own[own.length - 1]!;
  const joined = head && movedPast(head, own) ? merged.get(mergeKey(head, own)) : undefined;
  const join = joined ?? (last.view ? undefined : merged.get(viewKey(last)));
  return {
    kind: last.kind,
    id: last.doc,
    // Without the merge the last one's own body is shown, and an edit made of that must not say that its author saw more.
    rev: joined && !joined.alone ? head!.rev : Math.min(last.parent, head?.rev ?? 0),
    seq: head?.seq ?? 0,
    body: join ? join.body : last.body,
    view: join ? join.view : last.view,
    questions: [...(head?.questions ?? []), ...(join?.questions ?? [])],
    history: head?.history ?? [],
    waiting: own.filter((l) => !l.received).length,
    after: last.id,
    ...(head?.epoch && { epoch: head.epoch }),
    ...(head?.answered && { answered: head.answered }),
  };
}

/** The merges that lay would like to have and that are not in merged yet. */
export function missingMerges(
  mirror: ReadonlyMap<string, Held>,
  layers: readonly Layer[],
  merged: ReadonlyMap<string, Merged>,
): ToMerge[] {
  const list: ToMerge[] = [];
  for (const [docId, all] of byDocument(layers)) {
    const head = mirror.get(docId);
    const own = apart(head, unread(head, all)).laid;
    const last = own[own.length - 1];
    if (!last) continue;
    const of = { kind: last.kind, doc: docId, edit: last.id, author: last.author, mine: last.body };
    const moved = head && movedPast(head, own) && mergesInParts(last) && own[0]!.base !== null;
    if (moved) list.push({ ...of, key: mergeKey(head, own), base: own[0]!.base, head: head.body });
    else if (last.kind === "card" && !last.view) list.push({ ...of, key: viewKey(last), base: null, head: null });
  }
  return list.filter((m) => !merged.has(m.key));
}

// Other kinds are decided as a whole, and a document without a base was new on
// both sides: the server decides those, until then the author sees the own body.
function mergesInParts(own: Layer): boolean {
  return own.kind === "card" || own.kind === "case" || own.kind === "rules";
}

/**
 * The edits that the mirror does not show. It shows one, and every earlier one
 * of the same device, as soon as its id stands in the document's history, even
 * where its receipt was lost: laying that one over again would set the author's
 * own later change against it. What it shows beside the document is shown too.
 */
function unread(head: Held | undefined, own: Layer[]): Layer[] {
  const shown = new Set(head?.history.map((r) => r.edit));
  const newest = new Map(own.filter((l) => shown.has(l.id)).map((l) => [l.device, l.n]));
  const beside = new Set(head && besideIn(head));
  return own.filter((l) => l.n > (newest.get(l.device) ?? -1) && !beside.has(l.id));
}

function movedPast(head: Held, own: Layer[]): boolean {
  return head.rev > own[0]!.parent;
}

function mergeKey(head: Held, own: Layer[]): string {
  return `${head.epoch ?? ""}/${head.seq}/${own[0]!.id}/${own[own.length - 1]!.id}`;
}

// An edit that came from a file, or back from the device's own ones, has no view with it.
function viewKey(last: Layer): string {
  return `view/${last.id}`;
}

function byDocument(layers: readonly Layer[]): Map<string, Layer[]> {
  const groups = new Map<string, Layer[]>();
  for (const l of [...layers].sort((a, b) => a.n - b.n)) {
    const key = docKey(l.kind, l.doc);
    const group = groups.get(key);
    if (group) group.push(l);
    else groups.set(key, [l]);
  }
  return groups;
}
