// How often, and how long, a PIN counts that no server checks. Clocks come in
// as values. Pure.

import type { StoredKey } from "./keys";

/** Wrong PINs in a row before a person is locked on a device until it reaches the server. */
export const mostTries = 5;

/** How long after its last contact a device opens keys by itself. */
export const longestAway = 72 * 3_600_000;

/** How long a key stays open on somebody's own device, and a session lasts. */
export const longestOpen = 12 * 3_600_000;

/** How long a shared device may lie about before it locks. */
export const longestIdle = 5 * 60_000;

type Counted = Pick<StoredKey, "tries" | "locked">;

/** The key's record while a PIN is being tried: stored before the trying, so that closing the page gives no try back. */
export function trying<K extends Counted>(k: K): K {
  const tries = k.tries + 1;
  return { ...k, tries, locked: k.locked || tries >= mostTries };
}

/** The record after the right PIN. */
export function opened<K extends Counted>(k: K): K {
  return { ...k, tries: 0, locked: false };
}

/** How many wrong PINs more until the person is locked here. */
export function left(k: Counted): number {
  return k.locked ? 0 : mostTries - k.tries;
}

/** For how long a device was seen without its server. */
export interface Away {
  /** The last contact, by the device's clock. */
  contact: string | null;
  /** The longest time that was ever seen since then, in milliseconds. */
  seen: number;
}

/** The time away as it is now. A clock that was put back takes nothing from what was seen before. */
export function awayNow(known: Away | undefined, contact: string | null, now: number): Away {
  const since = contact === null ? Infinity : Math.max(0, now - Date.parse(contact));
  return { contact, seen: known && known.contact === contact ? Math.max(known.seen, since) : since };
}

/** Whether an open key still counts. One that was opened in the future says that a clock was put back. */
export function stillOpen(since: string, now: number): boolean {
  const open = now - Date.parse(since);
  return open >= 0 && open < longestOpen;
}

/** A moment by both clocks of a page: the one on the wall can be put back, the other may stand still while the device sleeps. */
export interface Moment {
  wall: number;
  page: number;
}

/** Whether nobody touched the device for so long that it locks. */
export function idle(last: Moment, now: Moment): boolean {
  const wall = now.wall - last.wall;
  return wall >= longestIdle || wall < -60_000 || now.page - last.page >= longestIdle;
}
