// When to send and read: at the start, after every kept edit, when the page
// comes back, when a network appears, when the server says that there is
// something, and every now and then. Browsers have no dependable way to do it
// in the background, so the page does it.

import { onHint, type Hint } from "../local/channel";
import { readDevice, setDemo } from "../local/device";
import { heard } from "../local/enrolled";
import { place, readMirror } from "../local/mirror";
import { readEdits } from "../local/outbox";
import { rereadSheets } from "../local/sheets";
import { endSession, readSession } from "../local/unlock";
import { outbox, readonly, server } from "../signals";
import { checkForUpdate } from "../update";
import { listen } from "./listen";
import type { Health } from "./protocol";
import { pull, type PullResult } from "./pull";
import { push } from "./push";
import { reach } from "./reach";
import { startRebasing } from "./rebase";

let running: Promise<void> | null = null;
let again = false;
let quietUntil = 0; // the server asked for a pause

/** Sends and reads once. Calls that come meanwhile are joined to one more round. */
export function sync(): Promise<void> {
  if (running) {
    again = true;
    return running;
  }
  running = rounds().catch(broken).finally(() => (running = null));
  return running;
}

/** Like sync, but keeps to a pause the server asked for, and never rejects. */
export function soon(): void {
  if (performance.now() >= quietUntil) sync().catch(noted);
}

// The device's storage failed on the way. Who waits for the first reading must not wait for ever.
function broken(error: unknown): never {
  if (server.peek() === "not tried") server.value = "not reached";
  throw error;
}

async function rounds(): Promise<void> {
  do {
    again = false;
    await round();
  } while (again);
}

async function round(): Promise<void> {
  const health = await reach();
  if (!health) {
    server.value = "not reached";
    return;
  }
  await met(health);
  if (!health.device || health.revoked || health.forked) return sendOnly(health);
  // A server that was restored may lack what this device has: nothing is sent before it was read and compared.
  if ((await place())?.epoch !== health.epoch && !came(await pull())) return;
  await send();
  // Also when sending failed: what others changed is worth knowing while the own edits wait.
  if (!came(await pull())) return;
  // Restored between the question and the sending: what it lacks waits now.
  if ((await place())?.epoch !== health.epoch) again = true;
}

/** What is left to a device that may not read. */
async function sendOnly(health: Health): Promise<void> {
  server.value = "reached";
  if (health.revoked || health.forked) await send();
}

async function send(): Promise<void> {
  if (outbox.peek().length === 0) return;
  const { waitSeconds } = await push();
  rest(waitSeconds);
}

function rest(seconds: number): void {
  quietUntil = Math.max(quietUntil, performance.now() + seconds * 1000);
}

/** Whether everything was read; notes how the server fares. */
function came(result: PullResult): boolean {
  server.value = result === "not reached" ? "not reached" : "reached";
  if (typeof result === "object") rest(result.waitSeconds);
  return result === "read";
}

async function met(health: Health): Promise<void> {
  readonly.value = health.readonly;
  await setDemo(health.demo);
  await heard(health);
  await endSession();
  await readSession(health.person);
  checkForUpdate(health.core);
}

// A failure here is one of this device's storage, which has its own message on the screen.
function noted(error: unknown): void {
  console.error("sync:", error);
}

/** Starts everything that makes the device send and read by itself. */
export function startSync(): void {
  onHint((what) => readAgain(what).catch(noted));
  startRebasing();
  listen((said) => void place().then((here) => {
    if (here?.epoch !== said.epoch || here.seq < said.seq) soon();
  }, noted));
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && soon());
  addEventListener("pageshow", soon);
  addEventListener("online", soon);
  // No network at all is known at once; that there is one proves nothing.
  addEventListener("offline", () => (server.value = "not reached"));
  everyNowAndThen();
  soon();
}

function readAgain(what: Hint): Promise<unknown> {
  switch (what) {
    case "docs":
      return readMirror();
    case "edits":
      return readEdits();
    case "sheets":
      return rereadSheets();
    case "device":
      return readDevice();
  }
}

// Jitter keeps a unit's tablets, all woken by the same network, from asking in step.
function everyNowAndThen(): void {
  setTimeout(() => {
    if (document.visibilityState === "visible") soon();
    everyNowAndThen();
  }, 15_000 + Math.random() * 15_000);
}
