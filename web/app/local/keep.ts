// Keeping an edit: checked by the core, stored in the outbox, only then
// reported as kept.

import type { Card, Case, LargeChange, Problem, Question, Ranked, Sheet, View } from "../generated/types";
import { CoreError, core } from "../core/core";
import { me } from "../signals";
import { doc, type Doc } from "../state";
import { sendable } from "../sync/batch";
import type { Decline, DocKind, Edit } from "../sync/protocol";
import { soon } from "../sync/sync";
import { textDevice } from "../text-device";
import { askToPersist, deviceId } from "./device";
import { newId } from "./ids";
import { isFull, NotKept } from "./notkept";
import { addEdit, type StoredEntry } from "./outbox";
import { queue } from "./queue";

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
 * is chosen now: somebody chosen while it waits its turn did not make it.
 */
export function keep(e: Keep): Promise<void> {
  const author = me.peek();
  return inTurn(() => keepNow(e, author));
}

async function keepNow(e: Keep, author: string | null): Promise<void> {
  if (!author) throw new NotKept(textDevice.nobody);
  const from = e.from ?? doc(e.kind, e.doc);
  const checked = await check(e.kind, e.body);
  const errors = checked.problems.filter((p) => p.level === "error");
  if (errors.length > 0) throw new NotKept(textDevice.problems, errors);
  const changes = from ? await diff(e.kind, from.body, checked.body) : [textDevice.newDocument];
  const kept = await entry(e, author, from, checked, changes);
  if (!sendable(kept.text)) throw new NotKept(textDevice.tooLarge);
  await written(addEdit(kept, from?.epoch));
  soon();
  void askToPersist();
}

async function entry(e: Keep, author: string, from: Doc | undefined, checked: Checked, changes: string[]): Promise<StoredEntry> {
  const foreseen = new Set(from?.questions.filter((q) => q.foreseen).map((q) => q.id));
  const decides = e.decides?.filter((id) => !foreseen.has(id));
  const edit: Edit = {
    id: newId(),
    kind: e.kind,
    doc: e.doc,
    parent: from?.rev ?? 0,
    ...(from?.after && { after: from.after }),
    author,
    device: await written(deviceId()),
    made: new Date().toISOString(),
    reason: e.reason,
    body: checked.body,
    ...(decides?.length && { decides }),
    ...(e.takes?.length && { takes: e.takes }),
    ...(e.declines?.length && { declines: e.declines }),
  };
  return {
    id: edit.id, kind: e.kind, doc: e.doc, parent: edit.parent, author, made: edit.made, reason: e.reason,
    text: JSON.stringify(edit),
    base: from?.body ?? null,
    view: checked.view,
    changes,
    tries: 0, lastTry: null, lastError: null,
  };
}

// Whatever the storage refuses becomes a sentence; the edit is then on no device and nobody is told otherwise.
async function written<T>(work: Promise<T>): Promise<T> {
  try {
    return await work;
  } catch (error) {
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
