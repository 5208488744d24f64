// Signing in and out. With the server in reach it checks the PIN; without, the
// device tries whether the PIN opens the person's key, a few times and not for
// ever. What waits is never touched by either.

import { enrolled, me, session } from "../signals";
import { textDevice } from "../text-device";
import type { Me, SignedIn } from "../sync/protocol";
import { post, request } from "../sync/request";
import { soon } from "../sync/sync";
import { hint } from "./channel";
import { read, write } from "./db";
import { importKey, newKey, openByPin, openBySecret, sealedByPin, storedKey, type StoredKey } from "./keys";
import type { MirrorMeta } from "./migrations";
import { forgetOpen, setOpen } from "./openkey";
import { queue } from "./queue";
import { base64url } from "./sign";
import { awayNow, left, longestAway, opened, trying, type Away } from "./tries";

/** Why somebody is not signed in, or may not go on, in words, and for how many seconds no PIN is looked at. */
export interface NotIn {
  text: string;
  wait?: number;
  /** Who is signed in must show again who it is. */
  again?: true;
}

// One after the other: the answer to an ended session must not end the one begun after it.
const inTurn = queue();

/** Signs a person in by PIN. Resolves with null when the key is open, else with the reason. */
export function signIn(person: string, pin: string): Promise<NotIn | null> {
  return inTurn(() => byPin(person, pin));
}

/** Signs in a person who shows something else than a PIN: what answers at path answers as a sign-in by PIN. */
export function signInElsewhere(path: string, body: unknown): Promise<NotIn | null> {
  return inTurn(async () => {
    const device = enrolled.peek();
    if (!device) return { text: textDevice.notEnrolled };
    const reply = await post<SignedIn>(path, body, isSignedIn);
    switch (reply.kind) {
      case "answer":
        return admit(device.id, reply.value, null);
      case "refused":
        return { text: reply.refusal.text };
      case "wait":
        return { text: reply.text, wait: reply.seconds };
      case "lost":
        return { text: textDevice.notReached };
    }
  });
}

async function byPin(person: string, pin: string): Promise<NotIn | null> {
  const device = enrolled.peek();
  if (!device) return { text: textDevice.notEnrolled };
  const reply = await post<SignedIn>("/api/v1/sign-in", { person, pin }, isSignedIn, patience);
  switch (reply.kind) {
    case "answer":
      return admit(device.id, reply.value, pin);
    case "refused":
      if (reply.refusal.code !== "wrong pin") soon(); // what the server holds of this device is news
      return { text: refusalText(reply.refusal.text, reply.refusal.left), ...(reply.refusal.wait && { wait: reply.refusal.wait }) };
    case "wait":
      if (reply.status === 429) return { text: reply.text, wait: reply.seconds };
      return alone(device.id, person, pin);
    case "lost":
      return alone(device.id, person, pin);
  }
}

// Somebody stands there and waits; the device can look at the PIN itself.
const patience = 6_000;

const isSignedIn = (v: Partial<SignedIn> | null) => v?.protocol === 1 && typeof v.secret === "string" && v.secret !== "" && typeof v.person === "string";

function refusalText(text: string, tries: number | undefined): string {
  return tries === undefined ? text : `${text} ${textDevice.triesLeft(tries)}`;
}

/** Opens the key of a person whom the server let in, or makes one. pin is null where the person showed something else. */
export async function admit(device: string, a: SignedIn, pin: string | null): Promise<NotIn | null> {
  session.value = { person: a.person, roles: a.roles ?? [], until: a.until };
  const key = (await opening(device, a, pin)) ?? (await making(device, a, pin));
  if (!key) return { text: textDevice.keyNotRegistered };
  await write(["keys"], (tx) => tx.objectStore("keys").put(key.stored));
  await open(key.stored, key.secret, "server");
  return null;
}

interface Unsealed {
  stored: StoredKey;
  secret: Uint8Array;
}

async function opening(device: string, a: SignedIn, pin: string | null): Promise<Unsealed | null> {
  const k = await keyOf(device, a.person);
  if (!k) return null;
  const byPin = pin === null ? null : await openByPin(k, pin);
  const secret = byPin ?? (await openBySecret(k, a.secret));
  if (!secret) return null;
  // A server that was restored from an older copy may not know it; one that had it taken away wants another.
  const known = await post("/api/v1/keys", { alg: k.alg, public: k.public });
  if (known.kind === "refused") return null;
  const renewed = pin === null || byPin ? k : { ...k, byPin: await sealedByPin(pin, secret, a.person) };
  return { stored: { ...opened(renewed), checkedAt: new Date().toISOString() }, secret };
}

async function making(device: string, a: SignedIn, pin: string | null): Promise<Unsealed | null> {
  const made = await newKey();
  const stored = await storedKey({ person: a.person, device, ...made }, pin, a.secret, new Date().toISOString());
  const reply = await post<{ protocol: number; key: string }>("/api/v1/keys", { alg: stored.alg, public: base64url(made.public) });
  return reply.kind === "answer" && reply.value.key === stored.id ? { stored, secret: made.secret } : null;
}

async function keyOf(device: string, person: string): Promise<StoredKey | undefined> {
  const k = await read(["keys"], (tx) => tx.objectStore("keys").get(person));
  return k?.device === device ? k : undefined;
}

/** The device's own look at a PIN, while the server is not reached. */
async function alone(device: string, person: string, pin: string): Promise<NotIn | null> {
  const k = await counted(device, person);
  if (typeof k === "string") return { text: textDevice.notOpened[k] };
  const secret = await openByPin(k, pin);
  if (!secret) return { text: k.locked ? textDevice.notOpened.locked : textDevice.wrongPin(left(k)) };
  const right = opened(k);
  await write(["keys"], (tx) => tx.objectStore("keys").put(right));
  await open(right, secret, "here");
  return null;
}

/** The person's key with this try counted, or why there is none to try. */
function counted(device: string, person: string): Promise<StoredKey | "none" | "locked" | "away"> {
  const now = Date.now();
  return write(["meta", "keys"], async (tx) => {
    const meta = tx.objectStore("meta");
    const k = await tx.objectStore("keys").get(person);
    if (!k?.byPin || k.device !== device) return "none";
    const contact = ((await meta.get("mirror")) as MirrorMeta | undefined)?.asOf ?? k.checkedAt;
    const away = awayNow((await meta.get("away")) as Away | undefined, contact, now);
    await meta.put(away, "away");
    if (k.locked) return "locked";
    if (away.seen >= longestAway) return "away";
    const tried = trying(k);
    await tx.objectStore("keys").put(tried);
    return tried;
  });
}

async function open(k: StoredKey, secret: Uint8Array, checked: "server" | "here"): Promise<void> {
  await setOpen({ person: k.person, alg: k.alg, id: k.id, key: await importKey(k.alg, secret), since: new Date().toISOString(), checked });
  hint("device");
}

/** Locks this device: the key is forgotten, the session ended as soon as the server is reached. The person stays chosen, and drafts stay. */
export async function lock(): Promise<void> {
  forgetOpen();
  session.value = null;
  await write(["meta"], async (tx) => {
    await tx.objectStore("meta").delete("unlocked");
    await tx.objectStore("meta").put(true, "endSession");
  });
  hint("device");
  void endSession();
}

/** Signs out. Works with no network as well, and leaves what waits as it is. */
export async function signOut(): Promise<void> {
  await write(["meta"], (tx) => tx.objectStore("meta").delete("me"));
  me.value = null;
  await lock();
}

/** Has the server end a session that was ended here. Tried again with every round until it has. */
export function endSession(): Promise<void> {
  return inTurn(async () => {
    const due = await read(["meta"], (tx) => tx.objectStore("meta").get("endSession"));
    if (!due) return;
    const reply = await post("/api/v1/sign-out", {}, undefined, patience);
    if (reply.kind === "answer" || reply.kind === "refused") await write(["meta"], (tx) => tx.objectStore("meta").delete("endSession"));
  });
}

/** Asks the server who is signed in here, where its health said that somebody is and this page does not know it. */
export async function readSession(person: string | null | undefined): Promise<void> {
  if (!person || session.peek()?.person === person) return;
  const reply = await request<Me>("/api/v1/me");
  if (reply.kind === "answer" && reply.value.person && reply.value.until) {
    session.value = { person: reply.value.person, roles: reply.value.roles ?? [], until: reply.value.until };
  }
}
