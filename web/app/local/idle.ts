// A shared device that lies about locks itself. Reading goes on, and drafts stay.

import { effect } from "@preact/signals";
import { enrolled, unlocked } from "../signals";
import { idle, type Moment } from "./tries";
import { lock } from "./unlock";

const glance = 5_000;

const now = (): Moment => ({ wall: Date.now(), page: performance.now() });

let last = now();

/** Locks a shared device that nobody touched; called before whatever needs to know who is there. */
export async function lockIfIdle(): Promise<void> {
  if (!enrolled.peek()?.shared || !unlocked.peek()) last = now();
  else if (idle(last, now())) await lock();
}

/** Starts watching. A shared device begins locked: whoever opens the page need not be who signed in before. */
export async function startIdleLock(): Promise<void> {
  for (const touch of ["pointerdown", "keydown", "input", "wheel"]) addEventListener(touch, touched, { capture: true, passive: true });
  document.addEventListener("visibilitychange", look);
  setInterval(look, glance);
  tellOthers();
  if (enrolled.peek()?.shared && !unlocked.peek() && !(await openElsewhere())) await lock();
}

// The touch that comes after the time is up finds the device locked.
function touched(): void {
  void lockIfIdle().finally(() => (last = now()));
}

function look(): void {
  lockIfIdle().catch((error) => console.error("lock this device:", error));
}

const here = "sideport-unlocked";

// A page with an open key holds a lock, by which another page of this device knows that somebody is at work here.
function tellOthers(): void {
  let release: (() => void) | null = null;
  effect(() => {
    if (!unlocked.value) {
      release?.();
      release = null;
    } else if (!release && navigator.locks) {
      const held = new Promise<void>((done) => (release = done));
      navigator.locks.request(here, { mode: "shared" }, () => held).catch(() => {}); // a page on its way out gets no locks
    }
  });
}

async function openElsewhere(): Promise<boolean> {
  const { held } = (await navigator.locks?.query()) ?? {};
  return held?.some((l) => l.name === here) ?? false;
}
