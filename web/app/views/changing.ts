// One limit of a card that is changed where it stands, without the editor. The
// panel for it is read later (changevalue.tsx); what a screen needs to open it
// and to show what came of it is here.

import { effect, signal } from "@preact/signals";
import { me } from "../state";

/** Where a limit stands. */
export interface Place {
  card: string;
  phase: string;
  limit: string;
}

/** The limit whose panel is open. */
export const changing = signal<Place | null>(null);

const key = (p: Place) => `${p.card}/${p.phase}/${p.limit}`;

/** What each limit was before it was changed here, and what it became, as long as this page lives and nobody else is at it. */
const before = signal<Readonly<Record<string, { was: string; now: string }>>>({});
effect(() => {
  void me.value;
  before.value = {};
});

export function noteBefore(p: Place, was: string, now: string): void {
  before.value = { ...before.value, [key(p)]: { was, now } };
}

/** What the limit was; nothing once the card says another value than the one that was kept here. */
export function beforeAt(p: Place, says: string): string | undefined {
  const noted = before.value[key(p)];
  return noted?.now === says ? noted.was : undefined;
}
