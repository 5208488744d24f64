// Whether what was read from the server may be stored. Pure.

import type { Pulled } from "../sync/protocol";
import type { MirrorMeta } from "./migrations";

/** Whether an answer continues what is stored; a tab that was slower must not turn the mirror back. */
export function follows(meta: MirrorMeta | undefined, p: Pick<Pulled, "epoch" | "seq">, after: number | null): boolean {
  if (after === null) return meta?.epoch !== p.epoch || p.seq >= meta.seq;
  return meta?.epoch === p.epoch && meta.seq === after && p.seq >= after;
}
