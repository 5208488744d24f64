import type { View } from "../generated/types";
import type { DocKind } from "../sync/protocol";
import { textDevice } from "../text-device";
import { read, write } from "./db";

/**
 * An old revision: from this device when it was read before, else from the
 * server. A revision never changes, so it is kept; where the storage refuses,
 * it is shown all the same and read again the next time.
 */
export async function revision(kind: DocKind, id: string, rev: number): Promise<{ body: any; view?: View }> {
  const key = `${kind}/${id}/${rev}`;
  const known = await read(["revisions"], (tx) => tx.objectStore("revisions").get(key)).catch(() => undefined);
  if (known) return { body: known.body, view: known.view };
  const { body, view } = await fetchRevision(kind, id, rev);
  await write(["revisions"], (tx) => tx.objectStore("revisions").put({ key, body, view })).catch(() => {});
  return { body, view };
}

async function fetchRevision(kind: DocKind, id: string, rev: number): Promise<{ body: unknown; view?: View }> {
  const path = `/api/v1/docs/${encodeURIComponent(kind)}/${encodeURIComponent(id)}/revisions/${rev}`;
  let answer: Response;
  try {
    answer = await fetch(path, { signal: AbortSignal.timeout(10_000) });
  } catch {
    throw new Error(textDevice.revisionOffline(rev));
  }
  const found = await answer.json().catch(() => null);
  if (answer.ok && found?.rev === rev && found.id === id && "body" in found) return found;
  throw new Error(found?.text ?? textDevice.revisionRefused(rev));
}
