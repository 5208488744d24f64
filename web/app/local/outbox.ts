// The edits of this device on their way to the server. An entry holds the
// exact text that will be sent and is never rewritten; it leaves the outbox
// only in the transaction that stores the server's receipt for its id.
// Entries do not expire.

import type { Problem, View } from "../generated/types";
import { answers, outbox, sent } from "../signals";
import type { Answer } from "../state";
import type { DocKind, Edit, Outcome, Receipt } from "../sync/protocol";
import { hint } from "./channel";
import { read, write } from "./db";
import { needsAnswer, outcomeOf } from "./outcome";
import type { Layer } from "./overlay";
import { queue } from "./queue";

export interface StoredEntry {
  n?: number; // given by the store: the order of sending
  id: string;
  kind: DocKind;
  doc: string;
  parent: number;
  author: string;
  made: string;
  reason: string;
  text: string; // the edit as JSON, byte for byte what is sent
  base: unknown; // the body the author started from; null for a new document
  view?: View;
  changes: string[];
  tries: number;
  lastTry: string | null;
  lastError: string | null;
}

export interface StoredSent extends StoredEntry {
  epoch: string; // of the receipt
  seq: number; // the mirror shows the edit from this seq on
}

export type Entry = StoredEntry & Layer;
export type Sent = StoredSent & Layer;

function withBody<E extends StoredEntry>(e: E, received: boolean): E & Layer {
  return { ...e, n: e.n!, body: (JSON.parse(e.text) as Edit).body, received };
}

const inTurn = queue();

/** Reads what waits, what was received and what was answered into the page; an older reading never replaces a newer one. */
export function readEdits(): Promise<void> {
  return inTurn(readNow);
}

async function readNow(): Promise<void> {
  const found = await read(["outbox", "sent", "answers"], async (tx) => ({
    outbox: await tx.objectStore("outbox").getAll(),
    sent: await tx.objectStore("sent").getAll(),
    answers: await tx.objectStore("answers").getAll(),
  }));
  outbox.value = found.outbox.map((e) => withBody(e, false));
  sent.value = found.sent.map((e) => withBody(e, true));
  answers.value = found.answers.sort((a, b) => (a.at < b.at ? -1 : 1));
}

/** Puts an edit into the outbox. Resolves when it is on this device for good. */
export async function addEdit(entry: StoredEntry): Promise<void> {
  await write(["outbox"], async (tx) => {
    const store = tx.objectStore("outbox");
    if ((await store.index("id").getKey(entry.id)) === undefined) await store.add(entry);
  });
  await edited();
}

/**
 * Stores receipts: the entry leaves the outbox and, where needed, an Answer is
 * kept, in one transaction. A receipt this version does not understand settles
 * nothing: the edit waits on for one that does.
 */
export async function settle(receipts: readonly Receipt[], epoch: string, at: string): Promise<void> {
  await write(["outbox", "sent", "answers"], async (tx) => {
    for (const r of receipts) {
      const key = await tx.objectStore("outbox").index("id").getKey(r.id);
      if (key === undefined) continue; // another tab was quicker
      const entry = (await tx.objectStore("outbox").get(key))!;
      const outcome = outcomeOf(r);
      if (!outcome) continue;
      if (needsAnswer(outcome)) await tx.objectStore("answers").put(answerFor(entry, r, outcome, at));
      if (outcome !== "set aside") await tx.objectStore("sent").put({ ...entry, epoch, seq: r.seq });
      await tx.objectStore("outbox").delete(key);
    }
  });
  await edited();
}

function answerFor(e: StoredEntry, r: Receipt, outcome: Outcome, at: string): Answer {
  const problems: Problem[] = r.problems ?? [];
  const { body } = JSON.parse(e.text) as Edit;
  return { id: e.id, outcome, kind: e.kind, doc: e.doc, reason: r.reason ?? "", problems, body, at };
}

/** Notes an attempt that brought no receipt, so that the person can see why an edit still waits. */
export async function noteTry(ids: readonly string[], at: string, error: string): Promise<void> {
  const set = new Set(ids);
  await write(["outbox"], async (tx) => {
    for (const e of await tx.objectStore("outbox").getAll()) {
      if (!set.has(e.id) || e.lastTry === at) continue;
      await tx.objectStore("outbox").put({ ...e, tries: e.tries + 1, lastTry: at, lastError: error });
    }
  });
  await edited();
}

/** The edits that wait, as JSON: each one byte for byte as it would be sent. */
export function waitingFile(): string {
  return `{"edits":[\n${outbox.peek().map((e) => e.text).join(",\n")}\n]}\n`;
}

export async function dismissAnswer(id: string): Promise<void> {
  await write(["answers"], (tx) => tx.objectStore("answers").delete(id));
  await edited();
}

// What was written is on disk by now, so failing to read it back must not say otherwise.
async function edited(): Promise<void> {
  hint("edits");
  await readEdits().catch((error) => console.error("read the outbox:", error));
}
