// One limit of a card that is changed where it stands, without the editor. The
// panel for it is read later (changevalue.tsx); what a screen needs to open it
// and to show what came of it is here.

import { signal } from "@preact/signals";

/** Where a limit stands. */
export interface Place {
  card: string;
  phase: string;
  limit: string;
}

/** The limit whose panel is open. */
export const changing = signal<Place | null>(null);

const key = (p: Place) => `${p.card}/${p.phase}/${p.limit}`;

/** What each limit was before it was changed here, as long as this page lives. */
const before = signal<Readonly<Record<string, string>>>({});

export function noteBefore(p: Place, was: string): void {
  before.value = { ...before.value, [key(p)]: was };
}

export function beforeAt(p: Place): string | undefined {
  return before.value[key(p)];
}
