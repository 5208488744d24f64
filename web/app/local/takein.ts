// Taking in what waits on another device, from the file that one saved.

import { mirror } from "../signals";
import type { Edit } from "../sync/protocol";
import { sendable } from "../sync/batch";
import { soon } from "../sync/sync";
import { textDevice } from "../text-device";
import { hint } from "./channel";
import { editsIn } from "./compare";
import { write } from "./db";
import { asOffered, readWaitingFile } from "./file";
import { idOf } from "./ids";
import { diff } from "./keep";
import type { MirrorMeta, Restores } from "./migrations";
import { isFull, NotKept } from "./notkept";
import { isHere, readEdits, type StoredEntry } from "./outbox";
import { docKey } from "./overlay";

/**
 * Puts the edits of a file into the outbox, under their own ids, authors and
 * devices. Resolves with how many there were and how many of them were new
 * here: one that waits here, was sent from here or stands in the mirror is not
 * taken twice. Rejects with NotKept, and then nothing was taken.
 */
export async function takeIn(text: string): Promise<{ all: number; fresh: number }> {
  const file = readWaitingFile(text);
  if (file.edits.some((e) => !sendable(JSON.stringify(e)))) throw new NotKept(textDevice.tooLarge);
  const changes = await changesOf(file.edits);
  const fresh = await write(["meta", "docs", "outbox", "own", "sent"], async (tx) => {
    const meta = tx.objectStore("meta");
    const here = (await meta.get("mirror")) as MirrorMeta | undefined;
    const restores = ((await meta.get("restores")) as Restores | undefined) ?? [];
    const heads = await Promise.all(file.edits.map((e) => tx.objectStore("docs").get(docKey(e.kind, e.doc))));
    const shown = editsIn(heads.filter((head) => head !== undefined));
    const edits = asOffered(file, here?.epoch, restores, shown, idOf);
    let taken = 0;
    for (const [i, e] of edits.entries()) {
      if (shown.has(e.id) || (await isHere(tx, e.id))) continue;
      await tx.objectStore("outbox").add(entry(e, baseOf(e, edits, heads[i]), changes[i]!));
      taken++;
    }
    if (restores.length > 0) await meta.put(restores, "restores");
    return taken;
  }).catch(inWords);
  hint("edits");
  await readEdits();
  soon();
  return { all: file.edits.length, fresh };
}

function inWords(error: unknown): never {
  if (error instanceof NotKept) throw error;
  throw new NotKept(isFull(error) ? textDevice.storageFull : textDevice.notWritten);
}

// What its author saw, where this device happens to know; else the author's own body is shown until the server has judged it.
function baseOf(e: Edit, edits: readonly Edit[], head: { rev: number; body: unknown } | undefined): unknown {
  if (e.after !== undefined) return edits.find((other) => other.id === e.after)?.body ?? null;
  return head?.rev === e.parent ? head.body : null;
}

// What each edit changes, in words for the list. Where the core cannot say, the edits are taken in all the same.
async function changesOf(edits: readonly Edit[]): Promise<string[][]> {
  const all: string[][] = [];
  let core = true;
  for (const e of edits) {
    const base = baseOf(e, edits, mirror.peek().get(docKey(e.kind, e.doc)));
    const found = core && base !== null ? await diff(e.kind, base, e.body).catch(() => null) : [];
    if (found === null) core = false;
    all.push(found?.length ? found : [textDevice.fromFile]);
  }
  return all;
}

function entry(e: Edit, base: unknown, changes: string[]): StoredEntry {
  const { id, kind, doc, parent, author, made, reason } = e;
  return { id, kind, doc, parent, author, made, reason, text: JSON.stringify(e), base, changes, tries: 0, lastTry: null, lastError: null };
}
