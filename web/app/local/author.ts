// Under whose name an edit is kept, and with which key. Where the device is
// locked, the person at it is asked for the PIN first.

import type { PersonRole } from "../generated/types";
import { asking, me } from "../signals";
import { doc, docsOf, type Person } from "../state";
import { textDevice } from "../text-device";
import { lockIfIdle } from "./idle";
import { actionOf, allowed, rolesFor } from "./may";
import { NotKept } from "./notkept";
import { openKeyOf, type Open } from "./openkey";
import { theatre } from "./record";

export interface Author {
  person: string;
  /** Absent for what the device writes down by itself. */
  key?: Open;
}

/** Who keeps a document that is owner's (undefined: everybody's). Rejects with NotKept where nobody signs in, or the role does not allow it. */
export async function authorOf(kind: string, person: string | null, owner: string | undefined): Promise<Author> {
  await lockIfIdle();
  const open = person === null ? null : openKeyOf(person, Date.now());
  if (kind === "record" && !open) return { person: theatre };
  if (person === null) throw new NotKept(textDevice.nobody);
  if (!mayKeep(person, kind, owner)) throw new NotKept(textDevice.notAllowed(nameOf(person)));
  const key = open ?? (await unlockedBy(person, kind, owner));
  return { person: key.person, key };
}

/** Whether somebody may keep such a document. Of a person this device does not know the server judges. */
export function mayKeep(person: string, kind: string, owner: string | undefined): boolean {
  const roles = doc<Person>("person", person)?.body.roles;
  return !roles || allowed(roles, actionOf(kind, person, owner));
}

async function unlockedBy(person: string, kind: string, owner: string | undefined): Promise<Open> {
  // Under another name a change must stay what it was begun as: an owner's change, or a proposal.
  const others = docsOf<Person>("person").map((d) => d.id)
    .filter((id) => id !== person && actionOf(kind, id, owner) === actionOf(kind, person, owner) && mayKeep(id, kind, owner));
  const who = await new Promise<string | null>((done) => (asking.value = { person, others, done }));
  asking.value = null;
  const key = who === null ? null : openKeyOf(who, Date.now());
  if (!key) throw new NotKept(textDevice.notSignedIn);
  return key;
}

function nameOf(person: string): string {
  return doc<Person>("person", person)?.body.name ?? person;
}

/** Whose it would be to keep what this person may not. */
export function whoMay(kind: string, person: string, owner?: string): PersonRole[] {
  return rolesFor(actionOf(kind, person, owner));
}

/** Whether whoever is at this device may keep such a document; nobody: as long as nobody says who it is. */
export function iMay(kind: string, owner?: string): boolean {
  return me.value === null || mayKeep(me.value, kind, owner);
}
