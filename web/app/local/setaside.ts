// What the server set aside (docs/api.md). It is of all devices, so it is read
// from the server each time and not kept here.

import type { Problem } from "../generated/types";
import type { DocKind, Edit } from "../sync/protocol";
import { request } from "../sync/request";

/** One edit as it came, and why it was not applied. */
export interface SetAsideEdit {
  at: string;
  edit: Edit;
  receipt: { seq: number; kind: DocKind; doc: string; reason?: string; problems?: Problem[] | null };
}

/** The edits after a number of the log, oldest first; null where the server was not reached. */
export async function setAsideAfter(seq: number): Promise<{ edits: SetAsideEdit[]; more: boolean } | null> {
  const reply = await request<{ protocol: number; edits: SetAsideEdit[] | null; more: boolean }>(`/api/v1/set-aside?after=${seq}`);
  if (reply.kind !== "answer") return null;
  const edits = reply.value.edits ?? [];
  return { edits, more: reply.value.more };
}
