// Keeping an edit: checked by the core, stored in the outbox, only then
// reported as kept.

import type { Card, Case, LargeChange, Problem, Question, Ranked, Sheet, View } from "../generated/types";
import { CoreError, core } from "../core/core";
import { me, revoked } from "../signals";
import { doc, type Doc } from "../state";
import { sendable } from "../sync/batch";
import { exclusively } from "../sync/leader";
import type { Decline, DocKind, Edit } from "../sync/protocol";
import { soon } from "../sync/sync";
import { textDevice } from "../text-device";
import { authorOf } from "./author";
import { ownerOf } from "./beside";
import { askToPersist, deviceId } from "./device";
import { newId } from "./ids";
import { isFull, NotKept } from "./notkept";
import { addEdit, chainHead, type StoredEntry } from "./outbox";
import type { Open } from "./openkey";
import { queue } from "./queue";
import { signed, type Chain } from "./sign";

export interface Keep {
  kind: DocKind;
  doc: string;
  body: unknown;
  reason: string;
  decides?: string[];
  /** Proposals that the body answers, and those that are declined. */
  takes?: string[];
  declines?: Decline[];
  /**
   * The document as the editor opened it. Must be given by every screen that
   * stays open while somebody types: meanwhile the mirror may move on, and an
   * edit that names the newer revision would silently undo what came with it.
   * Without it the document as it stands now is meant (an edit of one tap).
   */
  from?: Doc;
}

export interface Checked {
  problems: Problem[];
  view?: View;
  body: unknown;
}

/** Checks a body as the server will. Rejects with NotKept when the core is missing. */
export async function check(kind: DocKind, body: unknown): Promise<Checked> {
  const answer = await ask<Checked>("check", { kind, body });
  return { ...answer, problems: answer.problems ?? [] };
}

/** Generates the sheet of a case from the card and the rules on this device. */
export async function sheetFromCase(c: Case): Promise<Sheet> {
  const card = doc("card", c.card);
  if (!card) throw new NotKept(textDevice.missingCard(c.card));
  const rules = doc("rules", "house");
  if (!rules) throw new NotKept(textDevice.missingRules);
  return ask<Sheet>("generate", {
    card: card.body,
    card_revision: card.rev,
    rules: rules.body,
    rules_revision: rules.rev,
    case: c,
  });
}

/** What changed from one body to another, in words. Rejects with NotKept when the core is missing. */
export async function diff(kind: DocKind, from: unknown, to: unknown): Promise<string[]> {
  return (await ask<{ changes: string[] | null }>("diff", { kind, from, to })).changes ?? [];
}

/** Three ways, as the server merges. Rejects with NotKept when the core is missing. */
export async function merge<B>(kind: DocKind, base: B, head: B, mine: B): Promise<{ body: B; questions: Question[] }> {
  return ask("merge", { kind, base, head, mine });
}

/** The changes of numbers so large that somebody must say they are meant. Rejects with NotKept when the core is missing. */
export async function bigChanges(kind: DocKind, from: unknown, to: unknown): Promise<LargeChange[]> {
  return (await ask<{ changes: LargeChange[] }>("big_changes", { kind, from, to })).changes;
}

/** What in a text beside the documents, such as a reason, looks like a patient's number or birthday. */
export async function identityIn(label: string, written: string): Promise<Problem[]> {
  return (await ask<{ problems: Problem[] }>("identity", { label, text: written })).problems;
}

/** The cards of the case's surgeon, or all of them while it has none, with what the facts say for and against each. */
export async function rank(cards: readonly Card[], of: Case): Promise<Ranked[]> {
  return (await ask<{ ranked: Ranked[] }>("rank", { cards, case: of })).ranked;
}

const inTurn = queue();

/**
 * Keeps an edit. Resolves when it is on this device for good; rejects with
 * NotKept and changes nothing. One after the other, so that the second of two
 * quick edits names the first as the one its author saw. The author is whoever
 * is at the device now, and shows it by PIN where the device is locked:
 * somebody chosen while the edit waits its turn did not make it.
 */
export function keep(e: Keep): Promise<void> {
  const person = me.peek();
  return inTurn(() => keepNow(e, person));
}

async function keepNow(e: Keep, person: string | null): Promise<void> {
  if (revoked.peek()) throw new NotKept(textDevice.revoked);
  const device = deviceId();
  if (!person) throw new NotKept(textDevice.nobody);
  const from = e.from ?? doc(e.kind, e.doc);
  const checked = await check(e.kind, e.body);
  const errors = checked.problems.filter((p) => p.level === "error");
  if (errors.length > 0) throw new NotKept(textDevice.problems, errors);
  // Whose it is now, whatever the editor saw; a new one is whom its body names.
  const owner = ownerOf(e.kind, (doc(e.kind, e.doc) ?? from ?? checked).body);
  const author = await authorOf(e.kind, person, owner);
  const changes = from ? await diff(e.kind, from.body, checked.body) : [textDevice.newDocument];
  const edit = editOf(e, device, author.person, from, checked.body);
  await addSigned(edit, author.key, changes, from, checked.view);
  soon();
  void askToPersist();
}

/** Puts an edit into the outbox, signed where there is a key. Rejects with NotKept. */
export function addSigned(edit: Edit, key: Open | undefined, changes: string[], from?: Doc, view?: View): Promise<void> {
  return written(exclusively("sideport-chain", () => add(edit, key, from, view, changes)));
}

// The place in the chain is taken in the transaction that keeps the edit: two tabs never sign the same one.
async function add(edit: Edit, key: Open | undefined, from: Doc | undefined, view: View | undefined, changes: string[]): Promise<void> {
  for (;;) {
    const is: { edit: Edit; next?: Chain } = key ? await signed(edit, await chainHead(), key) : { edit };
    const entry = entryOf(is.edit, from, view, changes);
    if (!sendable(entry.text)) throw new NotKept(textDevice.tooLarge);
    if (await addEdit(entry, from?.epoch, is.next)) return;
  }
}

function editOf(e: Keep, device: string, author: string, from: Doc | undefined, body: unknown): Edit {
  const foreseen = new Set(from?.questions.filter((q) => q.foreseen).map((q) => q.id));
  const decides = e.decides?.filter((id) => !foreseen.has(id));
  return {
    id: newId(),
    kind: e.kind,
    doc: e.doc,
    parent: from?.rev ?? 0,
    ...(from?.after && { after: from.after }),
    author,
    device,
    made: new Date().toISOString(),
    reason: e.reason,
    body,
    ...(decides?.length && { decides }),
    ...(e.takes?.length && { takes: e.takes }),
    ...(e.declines?.length && { declines: e.declines }),
  };
}

function entryOf(edit: Edit, from: Doc | undefined, view: View | undefined, changes: string[]): StoredEntry {
  const { id, kind, doc, parent, author, made, reason } = edit;
  return {
    id, kind, doc, parent, author, made, reason,
    text: JSON.stringify(edit),
    base: from?.body ?? null,
    ...(view && { view }),
    changes,
    tries: 0, lastTry: null, lastError: null,
  };
}

// Whatever the storage refuses becomes a sentence; the edit is then on no device and nobody is told otherwise.
async function written<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
    if (error instanceof NotKept) throw error;
    throw new NotKept(isFull(error) ? textDevice.storageFull : textDevice.notWritten);
  }
}

async function ask<T>(name: string, input: unknown): Promise<T> {
  try {
    return await core.call<T>(name, input);
  } catch (error) {
    if (error instanceof CoreError) throw new NotKept(error.message, error.problems);
    throw error;
  }
}
