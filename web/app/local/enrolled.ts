// Whether this device belongs to the unit. The unit lead lets it in by a code
// (views/enrol.tsx); what the server says of it since then comes with every
// answer about its health.

import { batch } from "@preact/signals";
import { asLanguage, languageInPlace } from "../lang/language";
import { asOf, demoCodes, enrolled, forked, headDiffers, known, language, me, revoked, server, session, settingUp, unlocked, ways } from "../signals";
import type { EnrolledDevice, Health } from "../sync/protocol";
import { sync } from "../sync/sync";
import { hint } from "./channel";
import { read, write } from "./db";
import { readMirror } from "./mirror";
import { readEdits } from "./outbox";
import { forgetOpen } from "./openkey";
import { rereadSheets } from "./sheets";

/** Reads what the device remembers of its enrolment into the page. */
export async function readEnrolled(): Promise<void> {
  const [device, gone, differs] = await read(["meta"], (tx) => {
    const meta = tx.objectStore("meta");
    return Promise.all([meta.get("enrolled"), meta.get("revoked"), meta.get("headDiffers")]);
  });
  batch(() => {
    enrolled.value = (device as EnrolledDevice | undefined) ?? null;
    revoked.value = gone === true;
    headDiffers.value = differs === true;
  });
  // Whatever kept it from being done at once: a page that was closed, another one that was still written on.
  if (gone === true) forgetWritten();
}

/**
 * Remembers that the server let this device in. Under another id it is another
 * device: nobody's key is registered for it, and its chain begins anew. What
 * waits keeps the name and the signatures of the device that it was. Unless
 * somebody chose, its language is the one in which it was let in.
 */
export async function becomeEnrolled(device: EnrolledDevice): Promise<void> {
  const own = await write(["meta", "keys"], async (tx) => {
    const meta = tx.objectStore("meta");
    const before = (await meta.get("enrolled")) as EnrolledDevice | undefined;
    if (before?.id !== device.id) {
      await tx.objectStore("keys").clear();
      for (const key of ["unlocked", "chain", "away"]) await meta.delete(key);
    }
    await meta.put(device, "enrolled");
    await meta.delete("revoked");
    const chosen = asLanguage(await meta.get("language")) ?? languageInPlace();
    await meta.put(chosen, "language");
    return chosen;
  });
  if (enrolled.peek()?.id !== device.id) forgetOpen();
  batch(() => {
    enrolled.value = device;
    language.value = own;
    if (asOf.peek() === null) server.value = "not tried"; // as this device: what it may read comes with the next round
    known.value = true;
    revoked.value = false;
    forked.value = false;
    settingUp.value = false;
  });
  hint("device");
  // A pause that the server asked the device before for is not this one's. What fails here is told by the next round.
  void sync().catch(() => undefined);
}

/** Takes in what the server says of this device. */
export async function heard(health: Health): Promise<void> {
  const { device = null } = health;
  batch(() => {
    demoCodes.value = health.demo_codes ?? null;
    const had = ways.peek();
    const has = { passkeys: health.passkeys === true, sso: health.sso === true };
    if (has.passkeys !== had.passkeys || has.sso !== had.sso) ways.value = has;
    forked.value = health.forked === true;
    known.value = device !== null;
    // Once it is set up from here the server knows this device; set up from elsewhere, it does not.
    settingUp.value = !enrolled.peek() && (health.setup === true || (settingUp.peek() && device !== null));
    if (!health.person) session.value = null;
  });
  if (health.revoked) return forget();
  // While the first person's PIN is on the screen, nothing may take its place.
  if (device && !settingUp.peek() && !same(device, enrolled.peek())) await becomeEnrolled(device);
}

function same(a: EnrolledDevice, b: EnrolledDevice | null): boolean {
  return a.id === b?.id && a.name === b.name && a.shared === b.shared && !revoked.peek();
}

/**
 * A device that was taken out of use forgets what it read and everybody's keys.
 * What waits stays until the server has it; it is set aside there and not lost.
 */
async function forget(): Promise<void> {
  if (revoked.peek()) return;
  await write(["meta", "docs", "sent", "sheets", "revisions", "own", "answers", "lost", "keys"], async (tx) => {
    for (const store of ["docs", "sent", "sheets", "revisions", "own", "answers", "lost", "keys"] as const) await tx.objectStore(store).clear();
    for (const key of ["mirror", "restores", "unlocked", "chain", "away", "me"]) await tx.objectStore("meta").delete(key);
    await tx.objectStore("meta").put(true, "revoked");
  });
  forgetOpen();
  batch(() => {
    revoked.value = true;
    me.value = null;
    session.value = null;
    unlocked.value = null;
  });
  forgetWritten(); // once nobody writes here any more
  hint("device");
  hint("docs");
  await Promise.all([readMirror(), readEdits(), rereadSheets()]);
}

/** Drafts and reasons are the words of people, and hold cards: they go with what was read. */
function forgetWritten(): void {
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith("sideport/")) localStorage.removeItem(key);
  } catch {
    // What cannot be stored cannot be left behind either.
  }
}

/** Notes that the server's log is not the one that this device read; it stays until another epoch begins. */
export async function noteHeadDiffers(): Promise<void> {
  if (headDiffers.peek()) return;
  await write(["meta"], (tx) => tx.objectStore("meta").put(true, "headDiffers"));
  headDiffers.value = true;
}
