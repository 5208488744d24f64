// When the server was restored: what to ask it, and the comparison in the
// transaction that stores what it sent. Until that transaction is complete
// nothing has changed, and the device begins again.

import type { Pulled } from "../sync/protocol";
import { textDevice } from "../text-device";
import { compare, unasked, type Before } from "./compare";
import { read, type Tx } from "./db";
import { idOf } from "./ids";
import type { MirrorMeta, Restores } from "./migrations";
import { recordTooOld } from "./record";

// An editor left open through more restores than this has been open for too long.
const mostRestores = 10;

/** The transaction that stores what was read. */
export type Storing = Tx<"meta" | "docs" | "sent" | "outbox" | "revisions" | "own" | "lost", "readwrite">;

/** The edits of this device of which the snapshot does not tell whether the server has them; null while the epoch is the same. */
export function toAsk(p: Pulled): Promise<string[] | null> {
  return read(["meta", "own", "outbox"], async (tx) => {
    const meta = (await tx.objectStore("meta").get("mirror")) as MirrorMeta | undefined;
    if (!meta || meta.epoch === p.epoch) return null;
    const before: Before = { epoch: meta.epoch, docs: [], own: await tx.objectStore("own").getAll(), outbox: await tx.objectStore("outbox").getAll() };
    return unasked(before, p.docs, new Map());
  });
}

/** Puts back into the outbox what the server lacks, and aside what it lost of others. False when it was not asked for everything: an edit was kept meanwhile. */
export async function offerAgain(tx: Storing, meta: MirrorMeta, p: Pulled, has: ReadonlyMap<string, boolean>, at: string): Promise<boolean> {
  const before: Before = {
    epoch: meta.epoch,
    docs: (await tx.objectStore("docs").getAll()).map(({ key: _, ...doc }) => doc).filter((doc) => !recordTooOld(doc, p.now)),
    own: await tx.objectStore("own").getAll(),
    outbox: await tx.objectStore("outbox").getAll(),
  };
  if (unasked(before, p.docs, has).length > 0) return false;
  const found = compare(before, p.docs, has, idOf, at);
  const again = new Set(found.again);
  for (const n of again) await tx.objectStore("own").delete(n);
  for (const e of found.outbox) await tx.objectStore("outbox").put(again.has(e.n!) ? { ...e, lastError: textDevice.offeredAgain } : e);
  for (const l of found.lost) await tx.objectStore("lost").put(l);
  const restores = ((await tx.objectStore("meta").get("restores")) as Restores | undefined) ?? [];
  await tx.objectStore("meta").put([...restores, found.restore].slice(-mostRestores), "restores");
  return true;
}
