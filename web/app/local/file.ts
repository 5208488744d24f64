// The file of waiting edits: what one device saves and another takes in. Pure.

import type { Decline, Edit, Was } from "../sync/protocol";
import { textDevice } from "../text-device";
import { offered, type NewId, type Restore } from "./compare";
import { NotKept } from "./notkept";

/** What is in such a file. epoch is whose revisions the parents are; empty where the device had read nothing yet. */
export interface WaitingFile {
  epoch: string;
  edits: Edit[];
}

/** The edits that wait, each one byte for byte as it would be sent. */
export function waitingFileOf(epoch: string | null, waiting: readonly { text: string }[]): string {
  return `{"epoch":${JSON.stringify(epoch ?? "")},"edits":[\n${waiting.map((e) => e.text).join(",\n")}\n]}\n`;
}

/** Reads such a file. Rejects with one sentence that says what is wrong, because an edit no server can read would wait for ever. */
export function readWaitingFile(text: string): WaitingFile {
  const file = parsed(text);
  if (typeof file?.epoch !== "string" || !Array.isArray(file.edits) || file.edits.length === 0) throw new NotKept(textDevice.fileNotOurs);
  file.edits.forEach((edit, i) => {
    const wrong = wrongWith(edit);
    if (wrong) throw new NotKept(textDevice.fileEdit(i + 1, wrong));
  });
  return { epoch: file.epoch, edits: file.edits as Edit[] };
}

function parsed(text: string): { epoch?: unknown; edits?: unknown[] } | null {
  try {
    return JSON.parse(text);
  } catch {
    throw new NotKept(textDevice.fileNotOurs);
  }
}

const hex = (v: unknown) => typeof v === "string" && /^[0-9a-f]{32}$/.test(v);
const words = (v: unknown) => typeof v === "string" && v !== "";
const name = (v: unknown) => words(v) && new TextEncoder().encode(v as string).length <= 100;
const record = (v: unknown) => typeof v === "object" && v !== null && !Array.isArray(v);
const list = (of: (v: unknown) => boolean) => (v: unknown) => v === undefined || (Array.isArray(v) && v.length <= 100 && v.every(of));
const decline = (v: unknown) => record(v) && Object.keys(v as object).sort().join() === "proposal,reason" && hex((v as Decline).proposal) && typeof (v as Decline).reason === "string";

const or = (right: (v: unknown) => boolean) => (v: unknown) => v === undefined || right(v);
const exactly = (v: unknown, names: readonly string[]) => record(v) && Object.keys(v as object).every((k) => names.includes(k));
const chain = (v: unknown) => exactly(v, ["n", "prev"]) && Number.isSafeInteger((v as Place).n) && (v as Place).n > 0 && /^[0-9a-f]{64}$/.test((v as Place).prev);
const was = (v: unknown) => exactly(v, ["id", "parent", "after", "takes", "declines"]) && hex((v as Was).id) && revision((v as Was).parent)
  && or(hex)((v as Was).after) && list(hex)((v as Was).takes) && list(hex)((v as Was).declines);
const revision = (v: unknown) => Number.isSafeInteger(v) && (v as number) >= 0;
type Place = NonNullable<Edit["chain"]>;

const serverDevice = "0".repeat(32);

/** What every field of an edit has to be: twin of edits.Edit. A field beside these is one the server refuses. */
const fields: Record<keyof Edit, (v: unknown) => boolean> = {
  id: hex,
  kind: name,
  doc: name,
  parent: revision,
  after: or(hex),
  author: words,
  device: (v) => hex(v) && v !== serverDevice,
  made: words,
  reason: (v) => typeof v === "string",
  body: record,
  decides: list(hex),
  takes: list(hex),
  declines: list(decline),
  chain: or(chain),
  key: or(hex),
  checked: or((v) => v === "here"),
  was: or(was),
  sig: or((v) => typeof v === "string" && /^[A-Za-z0-9_-]{86}$/.test(v)),
};

function wrongWith(edit: unknown): string | null {
  if (!record(edit)) return textDevice.fileNoEdit;
  const e = edit as Record<string, unknown>;
  const wrong = Object.entries(fields).find(([name, right]) => !right(e[name]))?.[0];
  if (wrong) return textDevice.fileWrong(wrong);
  const extra = Object.keys(e).find((name) => !(name in fields));
  return extra === undefined ? null : textDevice.fileExtra(extra);
}

/**
 * The edits as they may go to the server of the epoch now. Those of an epoch
 * that ended are treated as this device's own were when it ended, but for those
 * in shown, which the server has; the new ids are noted in restores, so that
 * taking the file again gives the same ones.
 */
export function asOffered(file: WaitingFile, now: string | undefined, restores: readonly Restore[], shown: ReadonlySet<string>, newId: NewId): Edit[] {
  // Without an epoch no parent can be told, and a new document has none.
  if (file.epoch === now || (file.epoch === "" && file.edits.every((e) => e.parent === 0))) return file.edits;
  const from = restores.findIndex((r) => r.epoch === file.epoch);
  if (from < 0) throw new NotKept(textDevice.fileOtherEpoch);
  let edits = file.edits;
  for (const r of restores.slice(from)) edits = edits.map((e) => shown.has(e.id) ? e : offered(e, r, newId));
  return edits;
}
