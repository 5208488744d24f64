// Which waiting edits go into the next request. Pure.

export interface Waits {
  id: string;
  kind: string;
  doc: string;
  text: string;
}

const mostEdits = 100;
const mostBytes = 1_900_000; // the server takes 2 MiB; the rest is for the envelope

/**
 * The next edits in the order they were made. held names documents ("kind/id")
 * whose next edit the server refused to read: it and the later edits of the
 * same document wait, those of other documents go on. alone sends one at a
 * time, to find the one at fault.
 */
export function nextBatch<E extends Waits>(waiting: readonly E[], held: ReadonlySet<string>, alone: boolean): E[] {
  const batch: E[] = [];
  let bytes = 0;
  for (const e of waiting) {
    if (held.has(`${e.kind}/${e.doc}`)) continue;
    bytes += size(e.text) + 1;
    if (batch.length > 0 && (alone || batch.length === mostEdits || bytes > mostBytes)) break;
    batch.push(e);
  }
  return batch;
}

/** Whether one edit fits into a request. One that does not would wait for ever. */
export function sendable(text: string): boolean {
  return size(text) < mostBytes;
}

function size(text: string): number {
  return new TextEncoder().encode(text).length;
}

/** The request's body, with every edit byte for byte as it was kept. epoch says whose revisions their parents are; null: this device does not know it any more. */
export function envelope(device: string, epoch: string | null, batch: readonly Waits[]): string {
  const of = epoch === null ? "" : `"epoch":${JSON.stringify(epoch)},`;
  return `{"protocol":1,${of}"device":${JSON.stringify(device)},"edits":[${batch.map((e) => e.text).join(",")}]}`;
}
