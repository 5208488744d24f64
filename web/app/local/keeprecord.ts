// Keeping what was read aloud. Unlike every other edit it needs neither the
// core nor a person: a pause is read whatever has loaded and whoever holds the
// tablet. Whoever is signed in signs it; a locked tablet asks nobody.

import { me } from "../signals";
import { doc } from "../state";
import { soon } from "../sync/sync";
import { textDevice } from "../text-device";
import { authorOf } from "./author";
import { askToPersist, deviceId } from "./device";
import { addSigned } from "./keep";
import { recordEdit, recordId, type NewRecord } from "./record";

/** Keeps a record. Resolves when it is on this device for good, at once where it was kept before; rejects with NotKept. */
export async function keepRecord(body: NewRecord): Promise<void> {
  const device = deviceId();
  if (doc("record", recordId(body, device))) return;
  const author = await authorOf("record", me.peek(), undefined);
  await addSigned(recordEdit(body, author.person, device), author.key, [textDevice.newDocument]);
  soon();
  void askToPersist();
}
