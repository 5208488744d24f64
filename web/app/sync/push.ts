// Sends what waits, in the order it was made, until nothing waits or the
// server does not take it. Sending twice is safe, so tabs need no agreement;
// the lock only saves the effort. A server of another epoch than the mirror's
// takes nothing: what waits is compared with what it holds first.

import { deviceId } from "../local/device";
import { noteTry, settle, toSend } from "../local/outbox";
import { revoked } from "../signals";
import { textDevice } from "../text-device";
import { envelope, nextBatch } from "./batch";
import { exclusively } from "./leader";
import type { Pushed } from "./protocol";
import { request } from "./request";

export interface PushResult {
  waitSeconds: number; // the pause the server asked for, 0 when it asked for none
}

export function push(): Promise<PushResult> {
  return exclusively("sideport-push", sendAll);
}

// These say something of the device and nothing of an edit.
const atTheDoor = new Set(["not enrolled", "revoked", "not signed in", "not allowed", "needs set-up"]);

async function sendAll(): Promise<PushResult> {
  const device = deviceId();
  const held = new Set<string>();
  let alone = false;
  for (;;) {
    const { epoch, waiting } = await toSend();
    const batch = nextBatch(waiting, held, alone);
    // A device that was taken out of use knows no epoch any more; what it sends is set aside and kept.
    if ((epoch === null && !revoked.peek()) || batch.length === 0) return { waitSeconds: 0 };
    const ids = batch.map((e) => e.id);
    const at = new Date().toISOString();
    const reply = await request<Pushed>("/api/v1/edits", {
      method: "POST",
      headers: { "Content-Type": "application/json", "Sideport-Request": "1" },
      body: envelope(device, epoch, batch),
    });
    switch (reply.kind) {
      case "answer":
        await settle(reply.value.receipts, reply.value.epoch, at);
        if (epoch !== null && reply.value.epoch !== epoch) return { waitSeconds: 0 };
        // Every edit is promised a receipt. One without stays, and is not asked for again in this round.
        for (const e of (await toSend()).waiting) if (ids.includes(e.id)) held.add(`${e.kind}/${e.doc}`);
        break;
      case "wait":
        await noteTry(ids, at, reply.text);
        return { waitSeconds: reply.seconds };
      case "lost":
        await noteTry(ids, at, textDevice.notReached);
        return { waitSeconds: 0 };
      case "refused":
        if (reply.refusal.code === "other epoch") {
          await noteTry(ids, at, textDevice.otherEpoch);
          return { waitSeconds: 0 };
        }
        if (atTheDoor.has(reply.refusal.code)) {
          await noteTry(ids, at, reply.refusal.text);
          return { waitSeconds: 0 };
        }
        if (batch.length === 1) {
          await noteTry(ids, at, reply.refusal.text);
          held.add(`${batch[0]!.kind}/${batch[0]!.doc}`);
        }
        alone = true;
    }
  }
}
