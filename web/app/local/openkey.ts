// The one key that is open on this page. It is in memory, and on somebody's own
// device beside that in the storage, as an object whose bytes nobody can read.

import { enrolled, me, unlocked } from "../signals";
import { read, write } from "./db";
import { signerOf, type Alg } from "./keys";
import type { OpenKey } from "./sign";
import { stillOpen } from "./tries";

/** What somebody's own device remembers, so that a reload asks for nothing. */
export interface StoredOpen {
  person: string;
  alg: Alg;
  id: string;
  key: CryptoKey;
  since: string;
  checked: "server" | "here";
}

export interface Open extends OpenKey {
  person: string;
  since: string;
}

let open: Open | null = null;

/** The open key, if it is this person's and still counts. */
export function openKeyOf(person: string, now: number): Open | null {
  if (open && !stillOpen(open.since, now)) forgetOpen();
  return open?.person === person ? open : null;
}

export async function setOpen(o: StoredOpen): Promise<void> {
  const shared = enrolled.peek()?.shared !== false;
  await write(["meta"], async (tx) => {
    const meta = tx.objectStore("meta");
    // A session of somebody else, begun before this, must not go on once the server is reached.
    if (o.checked === "server") await meta.delete("endSession");
    else if ((await meta.get("me")) !== o.person) await meta.put(true, "endSession");
    await meta.put(o.person, "me");
    if (shared) await meta.delete("unlocked");
    else await meta.put(o, "unlocked");
  });
  hold(o);
  me.value = o.person;
}

function hold({ person, id, alg, key, checked, since }: StoredOpen): void {
  open = { person, id, checked, since, sign: signerOf(alg, key) };
  unlocked.value = { person, checked };
}

/** Forgets the key in this page's memory alone. */
export function forgetOpen(): void {
  open = null;
  unlocked.value = null;
}

/** Takes up what somebody's own device remembers; another tab may have locked it, or opened it for another. */
export async function readOpen(): Promise<void> {
  if (open && open.person !== me.peek()) forgetOpen();
  if (enrolled.peek()?.shared !== false) return;
  const stored = (await read(["meta"], (tx) => tx.objectStore("meta").get("unlocked"))) as StoredOpen | undefined;
  if (stored && stored.person === me.peek() && stillOpen(stored.since, Date.now())) hold(stored);
  else forgetOpen();
}
