// What the page knows right now. Only app/local, app/sync, app/core and
// app/update.ts write here; the screens read it through state.ts.

import { signal } from "@preact/signals";
import type { Language } from "./lang/language";
import type { Lost } from "./local/compare";
import type { Entry, Sent } from "./local/outbox";
import type { Damaged, DemoCodes, EnrolledDevice } from "./sync/protocol";
import type { Answer, Asking, Session, Unlocked } from "./state";
import type { Held, Merged } from "./local/overlay";

export const started = signal(false);

// The mirror and what is laid over it.
export const mirror = signal<ReadonlyMap<string, Held>>(new Map());
/** The epoch that the parents in the outbox belong to. */
export const epoch = signal<string | null>(null);
export const outbox = signal<readonly Entry[]>([]);
export const sent = signal<readonly Sent[]>([]);
export const merged = signal<ReadonlyMap<string, Merged>>(new Map());
export const answers = signal<Answer[]>([]);
export const lost = signal<readonly Lost[]>([]);

// The device.
export const me = signal<string | null>(null);
export const look = signal<"dim" | "bright">("dim");
/** The language that was chosen on this device; null: nobody chose (lang/language.ts then decides). */
export const language = signal<Language | null>(null);
export const persisted = signal<boolean | null>(null);
export const storage = signal<{ state: "ok" | "blocked"; text: string | null }>({ state: "ok", text: null });

// The doors: this device as the server knows it, and the person at it.
export const enrolled = signal<EnrolledDevice | null>(null);
/** The server knows this device; true until it says otherwise. */
export const known = signal(true);
export const revoked = signal(false);
export const forked = signal(false);
/** The first person of the unit is setting it up on this page. */
export const settingUp = signal(false);
export const demoCodes = signal<DemoCodes | null>(null);
export const session = signal<Session | null>(null);
export const unlocked = signal<Unlocked | null>(null);
export const asking = signal<Asking | null>(null);
export const headDiffers = signal(false);
/** The ways to sign in, besides the PIN, that the server has. */
export const ways = signal<{ passkeys: boolean; sso: boolean }>({ passkeys: false, sso: false });

// The world around it.
export const server = signal<"reached" | "not reached" | "not tried">("not tried");
export const asOf = signal<string | null>(null);
export const core = signal<"not started" | "starting" | "ready" | "failed">("not started");
export const update = signal(false);
export const demo = signal(false);
export const readonly = signal(false);
export const damaged = signal<readonly Damaged[]>([]);
