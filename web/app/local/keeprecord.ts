// Keeping what was read aloud. Unlike every other edit it needs neither the
// core nor a person: a pause is read whatever has loaded and whoever holds the tablet.

import { me } from "../signals";
import { doc } from "../state";
import { sendable } from "../sync/batch";
import { soon } from "../sync/sync";
import { textDevice } from "../text-device";
import { askToPersist, deviceId } from "./device";
import { isFull, NotKept } from "./notkept";
import { addEdit } from "./outbox";
import { recordEdit, recordId, theatre, type NewRecord } from "./record";

/** Keeps a record. Resolves when it is on this device for good, at once where it was kept before; rejects with NotKept. */
export async function keepRecord(body: NewRecord): Promise<void> {
  const author = me.peek() ?? theatre;
  try {
    const device = await deviceId();
    if (doc("record", recordId(body, device))) return;
    const edit = recordEdit(body, author, device);
    const text = JSON.stringify(edit);
    if (!sendable(text)) throw new NotKept(textDevice.tooLarge);
    const { id, kind, doc: of, parent, made, reason } = edit;
    await addEdit({ id, kind, doc: of, parent, author, made, reason, text, base: null, changes: [textDevice.newDocument], tries: 0, lastTry: null, lastError: null });
  } catch (error) {
    if (error instanceof NotKept) throw error;
    throw new NotKept(isFull(error) ? textDevice.storageFull : textDevice.notWritten);
  }
  soon();
  void askToPersist();
}
