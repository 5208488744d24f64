// What was read aloud as an edit: the form of it. Pure. Twin of
// server/edits/record.go and docs/api.md.

import type { Document, Edit } from "../sync/protocol";
import { idOf } from "./ids";
import { stable } from "./stable";

/** The answers a line can have. */
export type RecordAnswer = "answered" | "same" | "different" | "not sure" | "not applicable" | "not done";

export interface RecordLine {
  id: string;
  text: string;
  ask: string;
  /** The role that answers. */
  by: string;
  /** What was shown after the answer. */
  stored?: string;
  answer?: RecordAnswer;
  note?: string;
  at?: string;
}

/** What every record says: which case, and the revisions the sheet in use was made from. */
export interface RecordOf {
  case: string;
  list: string;
  position: number;
  card: string;
  card_revision: number;
  rules_revision: number;
  begun: string;
  ended: string;
}

export interface PauseRecord extends RecordOf {
  what: "pause";
  pause: string;
  outcome: "done" | "put aside";
  /** Why it was put aside. */
  reason?: string;
  lines: RecordLine[];
}

/** For the debrief, about a drill. */
export interface NoteRecord extends RecordOf {
  what: "note";
  drill: string;
  title: string;
  text: string;
}

export type NewRecord = PauseRecord | NoteRecord;
export type RecordBody = NewRecord & { id: string };

/** The author of what nobody in particular kept; no person's id. */
export const theatre = "theatre";

const mostDays = 30;

/** Whether the server sends a record no more, and a device keeps it no longer. */
export function recordTooOld(d: Pick<Document, "kind" | "history">, now: string): boolean {
  const at = d.kind === "record" ? d.history[0]?.at : undefined;
  return at !== undefined && Date.parse(now) - Date.parse(at) > mostDays * 86_400_000;
}

/** The name that a record has for ever: what it says and where it was made decide it, so that it is never kept twice. */
export function recordId(body: NewRecord, device: string): string {
  return idOf(`${device} ${stable(body)}`);
}

/** The edit that keeps it. Its id follows from all of it: the same id on other contents would be refused for ever. */
export function recordEdit(body: NewRecord, author: string, device: string): Edit {
  const doc = recordId(body, device);
  const edit = { kind: "record" as const, doc, parent: 0, author, device, made: body.ended, reason: "", body: { id: doc, ...body } };
  return { id: idOf(stable(edit)), ...edit };
}
