// Reads what is new on the server into the mirror: changes after the place
// the device stands at, or everything when the server is another one.

import { noteHeadDiffers } from "../local/enrolled";
import { place, store } from "../local/mirror";
import { toAsk } from "../local/restored";
import { damaged } from "../signals";
import type { Edit, Pulled } from "./protocol";
import { request, type Reply } from "./request";

export type PullResult = "read" | "not reached" | { waitSeconds: number };

export async function pull(): Promise<PullResult> {
  // Again when another tab stored more meanwhile, or an edit was kept while a restored server was asked for the others.
  for (let round = 0; round < 3; round++) {
    const { reply, after } = await fetchNew();
    if (reply.kind === "wait") return { waitSeconds: reply.seconds };
    if (reply.kind !== "answer") return "not reached";
    if (reply.value.head_differs) await noteHeadDiffers();
    damaged.value = reply.value.damaged ?? [];
    const has = await whatItHas(reply.value);
    if (!has) return "not reached";
    if (await store(reply.value, after, new Date().toISOString(), has)) break;
  }
  return "read";
}

// What the server of one epoch said it has: hundreds of questions are not asked again because one got no answer.
let heard = { epoch: "", has: new Map<string, boolean>() };

/** Which of this device's edits a restored server has, beside those its snapshot shows; null where that cannot be known now. */
async function whatItHas(p: Pulled): Promise<ReadonlyMap<string, boolean> | null> {
  if (heard.epoch !== p.epoch) heard = { epoch: p.epoch, has: new Map() };
  const { has } = heard;
  const ids = await toAsk(p);
  if (!ids) return has;
  // What is missing from it would pass for lost. Such a server takes no edits either.
  if (p.damaged?.length) return null;
  for (const id of ids.filter((id) => !has.has(id))) {
    const reply = await request<{ edit: Edit }>(`/api/v1/edits/${id}`, {}, (found) => found?.edit?.id === id);
    if (reply.kind === "answer") has.set(id, true);
    else if (reply.kind === "refused" && reply.refusal.code === "not found") has.set(id, false);
    else return null;
  }
  return has;
}

async function fetchNew(): Promise<{ reply: Reply<Pulled>; after: number | null }> {
  const here = await place();
  if (!here) return snapshot();
  // The head it read last lets the server see, and say, that its log is another one.
  const head = here.head ? `&head=${here.head}` : "";
  const reply = await request<Pulled>(`/api/v1/changes?after=${here.seq}${head}`, {}, isPulled);
  const otherServer = reply.kind === "answer" && reply.value.epoch !== here.epoch;
  // "bad request" is the answer to a place beyond the log, after a restore.
  if (otherServer || reply.kind === "refused") return snapshot();
  return { reply, after: here.seq };
}

async function snapshot(): Promise<{ reply: Reply<Pulled>; after: null }> {
  return { reply: await request<Pulled>("/api/v1/snapshot", {}, isPulled), after: null };
}

// Another machine's answer would pass for a server that has lost everything.
function isPulled(p: Partial<Pulled> | null): boolean {
  return p?.protocol === 1 && /^[0-9a-f]{32}$/.test(p.epoch ?? "") && Array.isArray(p.docs);
}
