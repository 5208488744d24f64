// The mirror: the server's documents as this device last read them. What was
// read together is stored together, with the place in the log it belongs to.

import { batch } from "@preact/signals";
import { asOf, headDiffers, mirror } from "../signals";
import type { Pulled } from "../sync/protocol";
import { hint } from "./channel";
import { read, write } from "./db";
import { follows } from "./follows";
import type { MirrorMeta } from "./migrations";
import { readEdits } from "./outbox";
import { docKey, type Held } from "./overlay";
import { queue } from "./queue";
import { recordTooOld } from "./record";
import { offerAgain, type Storing } from "./restored";

let shown: MirrorMeta | null = null; // what the signals hold

/** Where the device stands in the server's log; null before the first reading. */
export function place(): Promise<MirrorMeta | null> {
  return read(["meta"], async (tx) => ((await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined) ?? null);
}

const inTurn = queue();

/** Brings the page to what is stored: only what changed since it last looked, everything after a new epoch. */
export function readMirror(): Promise<void> {
  return inTurn(readNow);
}

async function readNow(): Promise<void> {
  const known = shown;
  const found = await read(["meta", "docs"], async (tx) => {
    const meta = (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined;
    if (!meta) return null;
    const same = known?.epoch === meta.epoch && known.seq <= meta.seq;
    const docs = same
      ? await tx.objectStore("docs").index("seq").getAll(IDBKeyRange.lowerBound(known.seq, true))
      : await tx.objectStore("docs").getAll();
    return { meta, same, docs };
  });
  if (!found) return;
  const next = new Map<string, Held>(found.same ? mirror.value : []);
  for (const { key, ...doc } of found.docs) next.set(key, { ...doc, epoch: found.meta.epoch });
  shown = found.meta;
  batch(() => {
    asOf.value = found.meta.asOf;
    if (found.docs.length > 0 || !found.same) mirror.value = next;
  });
}

/**
 * Stores what was read from the server in one transaction. after is where the
 * reading started, null for a snapshot. has says which of this device's edits
 * a restored server has. False when nothing was stored, because another tab got
 * further meanwhile or an edit was not asked for: the caller reads again.
 */
export async function store(p: Pulled, after: number | null, at: string, has: ReadonlyMap<string, boolean>): Promise<boolean> {
  const stored = await write(["meta", "docs", "sent", "outbox", "revisions", "own", "lost"], async (tx) => {
    const meta = (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined;
    if (!follows(meta, p, after)) return false;
    if (meta && meta.epoch !== p.epoch && !(await offerAgain(tx, meta, p, has, at))) return false;
    await putDocs(tx, p, after === null, meta?.epoch !== p.epoch);
    if (meta?.asOf.slice(0, 10) !== at.slice(0, 10)) await forgetOldRecords(tx, p.now);
    const now: MirrorMeta = { epoch: p.epoch, seq: p.seq, asOf: at, ...(p.head && { head: p.head }) };
    await tx.objectStore("meta").put(now, "mirror");
    if (meta && meta.epoch !== p.epoch) {
      await tx.objectStore("meta").delete("headDiffers");
      headDiffers.value = false;
    }
    return true;
  });
  hint("docs");
  hint("edits");
  await readMirror();
  await readEdits();
  return stored;
}

async function putDocs(tx: Storing, p: Pulled, whole: boolean, otherEpoch: boolean): Promise<void> {
  if (whole) await tx.objectStore("docs").clear();
  // Another server may have given the same numbers to other revisions.
  if (otherEpoch) await tx.objectStore("revisions").clear();
  for (const doc of p.docs) await tx.objectStore("docs").put({ ...doc, key: docKey(doc.kind, doc.id) });
  for (const { n, epoch, seq } of await tx.objectStore("sent").getAll()) {
    if (epoch !== p.epoch || seq <= p.seq) await tx.objectStore("sent").delete(n!);
  }
}

// Once a day, so that a tablet does not fill up with all that was ever read aloud.
async function forgetOldRecords(tx: Storing, now: string): Promise<void> {
  const docs = tx.objectStore("docs");
  for (const d of await docs.getAll(IDBKeyRange.bound("record/", "record/\uffff"))) if (recordTooOld(d, now)) await docs.delete(d.key);
}
