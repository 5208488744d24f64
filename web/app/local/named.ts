// The one card an address names, read before everything else the device
// holds: who opens a card from cold waits for that card alone.

import { batch } from "@preact/signals";
import { asOf, mirror } from "../signals";
import { read } from "./db";
import type { MirrorMeta } from "./migrations";
import { docKey, type Held } from "./overlay";

/** Reads the card, the people and the unit into the page. False when the card is not on this device. */
export async function readNamedCard(id: string): Promise<boolean> {
  const found = await read(["meta", "docs"], async (tx) => {
    const docs = tx.objectStore("docs");
    const [card, people, unit, meta] = await Promise.all([
      docs.get(docKey("card", id)),
      docs.getAll(IDBKeyRange.bound(docKey("person", ""), docKey("person", "\uffff"))),
      docs.get(docKey("unit", "unit")),
      tx.objectStore("meta").get("mirror") as Promise<MirrorMeta | undefined>,
    ]);
    return card && meta ? { meta, docs: [card, ...people, ...(unit ? [unit] : [])] } : null;
  });
  if (!found) return false;
  batch(() => {
    asOf.value = found.meta.asOf;
    mirror.value = new Map(found.docs.map(({ key, ...doc }): [string, Held] => [key, { ...doc, epoch: found.meta.epoch }]));
  });
  return true;
}
