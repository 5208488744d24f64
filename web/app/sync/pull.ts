// Reads what is new on the server into the mirror: changes after the place
// the device stands at, or everything when the server is another one.

import { place, store } from "../local/mirror";
import type { Pulled } from "./protocol";
import { request, type Reply } from "./request";

export type PullResult = "read" | "not reached";

export async function pull(): Promise<PullResult> {
  // Twice at most: when another tab stored more meanwhile, once more from there.
  for (let round = 0; round < 2; round++) {
    const { reply, after } = await fetchNew();
    if (reply.kind !== "answer") return "not reached";
    if (await store(reply.value, after, new Date().toISOString())) break;
  }
  return "read";
}

async function fetchNew(): Promise<{ reply: Reply<Pulled>; after: number | null }> {
  const here = await place();
  if (!here) return snapshot();
  const reply = await request<Pulled>(`/api/v1/changes?after=${here.seq}`);
  const otherServer = reply.kind === "answer" && reply.value.epoch !== here.epoch;
  // "bad request" is the answer to a place beyond the log, after a restore.
  if (otherServer || reply.kind === "refused") return snapshot();
  return { reply, after: here.seq };
}

async function snapshot(): Promise<{ reply: Reply<Pulled>; after: null }> {
  return { reply: await request<Pulled>("/api/v1/snapshot"), after: null };
}
