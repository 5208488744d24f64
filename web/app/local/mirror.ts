// The mirror: the server's documents as this device last read them. What was
// read together is stored together, with the place in the log it belongs to.

import { batch } from "@preact/signals";
import { asOf, mirror } from "../signals";
import type { Document, Pulled } from "../sync/protocol";
import { hint } from "./channel";
import { read, write } from "./db";
import { follows } from "./follows";
import type { MirrorMeta } from "./migrations";
import { readEdits } from "./outbox";
import { docKey } from "./overlay";
import { queue } from "./queue";

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
  const next = new Map<string, Document>(found.same ? mirror.value : []);
  for (const { key, ...doc } of found.docs) next.set(key, doc);
  shown = found.meta;
  batch(() => {
    asOf.value = found.meta.asOf;
    if (found.docs.length > 0 || !found.same) mirror.value = next;
  });
}

/**
 * Stores what was read from the server in one transaction. after is where the
 * reading started, null for a snapshot. False when another tab got further
 * meanwhile: then nothing was stored, and the caller reads again.
 */
export async function store(p: Pulled, after: number | null, at: string): Promise<boolean> {
  const stored = await write(["meta", "docs", "sent", "outbox", "revisions"], async (tx) => {
    const meta = (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined;
    if (!follows(meta, p, after)) return false;
    if (after === null) await tx.objectStore("docs").clear();
    // Another server may have given the same numbers to other revisions.
    if (meta?.epoch !== p.epoch) await tx.objectStore("revisions").clear();
    for (const doc of p.docs) await tx.objectStore("docs").put({ ...doc, key: docKey(doc.kind, doc.id) });
    for (const { epoch, seq, ...entry } of await tx.objectStore("sent").getAll()) {
      if (epoch === p.epoch && seq > p.seq) continue;
      // The server that confirmed this edit was replaced before it was read back: send it again, which is always safe.
      if (epoch !== p.epoch) await tx.objectStore("outbox").put(entry);
      await tx.objectStore("sent").delete(entry.n!);
    }
    const now: MirrorMeta = { epoch: p.epoch, seq: p.seq, asOf: at };
    await tx.objectStore("meta").put(now, "mirror");
    return true;
  });
  hint("docs");
  await readMirror();
  await readEdits();
  return stored;
}
