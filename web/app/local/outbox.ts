// The edits of this device on their way to the server. An entry holds the
// exact text that will be sent and is never rewritten; it leaves the outbox
// only in the transaction that stores the server's receipt for its id. Entries
// do not expire. With its receipt an edit goes over to the device's own ones.
// One thing alone gives an entry another text: a restore (compare.ts).

import { batch } from "@preact/signals";
import type { Problem, View } from "../generated/types";
import { answers, epoch, lost, outbox, sent } from "../signals";
import type { Answer } from "../state";
import type { DocKind, Edit, Outcome, Receipt } from "../sync/protocol";
import { aboutProposals } from "./beside";
import { hint } from "./channel";
import { afterOf, carriedOver, countingFrom, inheriting } from "./compare";
import { read, write, type Tx } from "./db";
import { waitingFileOf } from "./file";
import type { MirrorMeta, Restores } from "./migrations";
import { makingRoom } from "./notkept";
import { needsAnswer, outcomeOf } from "./outcome";
import type { Layer } from "./overlay";
import { queue } from "./queue";
import { chainStart, type Chain } from "./sign";

export interface StoredEntry {
  n?: number; // given by the store: the order of sending
  id: string;
  kind: DocKind;
  doc: string;
  parent: number; // the revision that base was laid over
  author: string;
  made: string;
  reason: string;
  text: string; // the edit as JSON, byte for byte what is sent
  base: unknown; // the body the edit counts from, as a rule what its author saw; null where there was none or nobody knows
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

/** An edit with its receipt. Its view is left out, the largest part of it: the core makes it again where it is wanted. */
export interface StoredOwn extends Omit<StoredSent, "view"> {
  /** It is part of the document; one that was set aside is not, and no proposal. */
  taken: boolean;
}

// Enough for years of one device, and at most some 80 MB of its storage.
const mostOwn = 2_000;

export type Entry = StoredEntry & Layer;
export type Sent = StoredSent & Layer;

function withBody<E extends StoredEntry>(e: E, received: boolean): E & Layer {
  const edit = JSON.parse(e.text) as Edit;
  return { ...e, n: e.n!, device: edit.device, body: edit.body, received, ...aboutProposals(edit, e.base) };
}

const inTurn = queue();

/** Reads what waits, what was received and what was answered into the page; an older reading never replaces a newer one. */
export function readEdits(): Promise<void> {
  return inTurn(readNow);
}

async function readNow(): Promise<void> {
  const found = await read(["meta", "outbox", "sent", "answers", "lost"], async (tx) => ({
    mirror: (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined,
    outbox: await tx.objectStore("outbox").getAll(),
    sent: await tx.objectStore("sent").getAll(),
    answers: await tx.objectStore("answers").getAll(),
    lost: await tx.objectStore("lost").getAll(),
  }));
  batch(() => {
    epoch.value = found.mirror?.epoch ?? null;
    outbox.value = found.outbox.map((e) => withBody(e, false));
    sent.value = found.sent.map((e) => withBody(e, true));
    answers.value = found.answers.sort((a, b) => (a.at < b.at ? -1 : 1));
    lost.value = found.lost.sort((a, b) => (a.at < b.at ? -1 : 1));
  });
}

/** What waits, with the epoch its parents belong to: read in one transaction, because a restore changes both. */
export function toSend(): Promise<{ epoch: string | null; waiting: StoredEntry[] }> {
  return read(["meta", "outbox"], async (tx) => ({
    epoch: ((await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined)?.epoch ?? null,
    waiting: await tx.objectStore("outbox").getAll(),
  }));
}

/** The place of the device's next edit in its chain. */
export function chainHead(): Promise<Chain> {
  return read(["meta"], async (tx) => ((await tx.objectStore("meta").get("chain")) as Chain | undefined) ?? chainStart);
}

/**
 * Puts an edit into the outbox. Resolves with true when it is on this device
 * for good, with false when another tab took its place in the chain meanwhile.
 * from is the epoch of the document it was made from: the server may have been
 * restored while somebody was typing. next is the place after a signed edit.
 */
export async function addEdit(entry: StoredEntry, from?: string, next?: Chain): Promise<boolean> {
  const added = await write(["meta", "outbox", "own", "sent"], async (tx) => {
    if (await isHere(tx, entry.id)) return true;
    if (next) {
      const free = ((await tx.objectStore("meta").get("chain")) as Chain | undefined) ?? chainStart;
      if (free.n !== next.n - 1) return false;
      await tx.objectStore("meta").put(next, "chain");
    }
    const mirror = (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined;
    const restores = ((await tx.objectStore("meta").get("restores")) as Restores | undefined) ?? [];
    const now = asOfNow(entry, from, mirror?.epoch, restores);
    const after = afterOf(now);
    const earlier = after === undefined ? undefined : await tx.objectStore("own").index("id").get(after);
    await tx.objectStore("outbox").add(earlier?.taken === false ? inheriting(now, earlier) : now);
    return true;
  });
  await edited();
  return added;
}

function asOfNow(entry: StoredEntry, from: string | undefined, epochNow: string | undefined, restores: Restores): StoredEntry {
  const edit = JSON.parse(entry.text) as Edit;
  const is = carriedOver(edit, from, epochNow, restores);
  return is === edit ? entry : { ...countingFrom(entry, is.parent), text: JSON.stringify(is) };
}

/** Whether the edit waits here or was received: it may have been sent before anybody could say that it was kept. */
export async function isHere(tx: Pick<Tx<"outbox" | "own" | "sent", "readwrite">, "objectStore">, id: string): Promise<boolean> {
  for (const store of ["outbox", "own"] as const) if ((await tx.objectStore(store).index("id").getKey(id)) !== undefined) return true;
  return (await tx.objectStore("sent").getAll()).some((e) => e.id === id);
}

/**
 * Stores receipts: the entry leaves the outbox and, where needed, an Answer is
 * kept, in one transaction. A receipt this version does not understand settles
 * nothing: the edit waits on for one that does. The receipt counts more than
 * the own edits that are kept for the day of a restore. A device out of use keeps
 * nothing of what it sent: whoever holds it has nothing to read.
 */
export async function settle(receipts: readonly Receipt[], epoch: string, at: string): Promise<void> {
  await makingRoom(mostOwn, (most) => write(["meta", "outbox", "sent", "answers", "own"], async (tx) => {
    await forgetOldest(tx, most);
    const inUse = (await tx.objectStore("meta").get("revoked")) !== true; // another tab may have heard of it first
    for (const r of receipts) {
      const key = await tx.objectStore("outbox").index("id").getKey(r.id);
      if (key === undefined) continue; // another tab was quicker
      const { view, ...entry } = (await tx.objectStore("outbox").get(key))!;
      const outcome = outcomeOf(r);
      if (!outcome) continue;
      if (inUse && needsAnswer(outcome, r.reason)) await tx.objectStore("answers").put(answerFor(entry, r, outcome, at));
      const received = { ...entry, epoch, seq: r.seq };
      const taken = r.rev > 0;
      if (inUse && outcome !== "set aside") await tx.objectStore("sent").put({ ...received, ...(view && { view }) });
      if (!taken) await passOn(tx, entry);
      if (inUse && most > 0) await tx.objectStore("own").put({ ...received, taken });
      await tx.objectStore("outbox").delete(key);
    }
  }));
  await edited();
}

type Settling = Tx<"meta" | "outbox" | "sent" | "answers" | "own", "readwrite">;

async function passOn(tx: Settling, aside: StoredEntry): Promise<void> {
  for (const later of await tx.objectStore("outbox").getAll()) if (afterOf(later) === aside.id) await tx.objectStore("outbox").put(inheriting(later, aside));
  for (const later of await tx.objectStore("sent").getAll()) if (afterOf(later) === aside.id) await tx.objectStore("sent").put(inheriting(later, aside));
}

async function forgetOldest(tx: Settling, most: number): Promise<void> {
  const own = tx.objectStore("own");
  const tooMany = (await own.count()) - most;
  if (tooMany > 0) for (const key of await own.getAllKeys(null, tooMany)) await own.delete(key);
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

/** The edits that wait, as JSON: each one byte for byte as it would be sent. From the page's memory, so that it works where the storage no longer does. */
export function waitingFile(): string {
  return waitingFileOf(epoch.peek(), outbox.peek());
}

/** Puts away what a restored server has lost of others, once a person has looked after it. */
export async function dismissLost(key: string): Promise<void> {
  await write(["lost"], (tx) => tx.objectStore("lost").delete(key));
  await edited();
}

/** Notes that what came as an answer was on the screen. */
export async function sawAnswers(): Promise<void> {
  if (answers.peek().every((a) => a.seen)) return;
  await write(["answers"], async (tx) => {
    for (const a of await tx.objectStore("answers").getAll()) if (!a.seen) await tx.objectStore("answers").put({ ...a, seen: true });
  });
  await edited();
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
