// What the page knows right now. Only app/local, app/sync, app/core and
// app/update.ts write here; the screens read it through state.ts.

import { signal } from "@preact/signals";
import type { Lost } from "./local/compare";
import type { Entry, Sent } from "./local/outbox";
import type { Damaged } from "./sync/protocol";
import type { Answer } from "./state";
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
export const persisted = signal<boolean | null>(null);
export const storage = signal<{ state: "ok" | "blocked"; text: string | null }>({ state: "ok", text: null });

// The world around it.
export const server = signal<"reached" | "not reached" | "not tried">("not tried");
export const asOf = signal<string | null>(null);
export const core = signal<"not started" | "starting" | "ready" | "failed">("not started");
export const update = signal(false);
export const demo = signal(false);
export const readonly = signal(false);
export const damaged = signal<readonly Damaged[]>([]);
