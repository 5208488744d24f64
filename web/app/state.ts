// Everything the screens may know and do. Screens import from here and from
// router.ts only; they never touch IndexedDB, the network or the core.

import { computed, type ReadonlySignal } from "@preact/signals";
import type { Case, PersonRole, Problem, Sheet, View } from "./generated/types";
import * as now from "./signals";
import { editsIn } from "./local/compare";
import { lay } from "./local/overlay";
import type { ShownProposal } from "./local/beside";
import type { DemoCodes, DocKind, EnrolledDevice, OpenQuestion, Proposal, ProposalAnswer, Revision } from "./sync/protocol";

export type { DocKind, OpenQuestion, Person, ProposalAnswer, Revision, Unit } from "./sync/protocol";
export type { ShownProposal } from "./local/beside";

export interface Doc<B = any> {
  kind: DocKind;
  id: string;
  rev: number;
  seq: number;
  body: B;
  view?: View;
  questions: OpenQuestion[];
  history: Revision[];
  /** Edits of this document that are not on the server yet; body and view already hold them. */
  waiting: number;
  /** Proposals that wait for the owner, those of this device that still wait among them. No body holds them. */
  proposals?: ShownProposal[];
  /** Proposals that were answered, oldest first. */
  answered?: ProposalAnswer[];
  /** The edit laid over the server's revision, when there is one. Passed on by keep({from}). */
  after?: string;
  /** The epoch its revision belongs to. Passed on by keep({from}). */
  epoch?: string;
}

/** The mirror has been read from this device. */
export const started: ReadonlySignal<boolean> = now.started;

/** Every document by "kind/id", with the waiting edits laid over. */
export const docs: ReadonlySignal<ReadonlyMap<string, Doc>> = computed(() =>
  lay(now.mirror.value, [...now.sent.value, ...now.outbox.value], now.merged.value),
);

export function docsOf<B = any>(kind: DocKind): Doc<B>[] {
  return [...docs.value.values()].filter((d) => d.kind === kind).sort((a, b) => (a.id < b.id ? -1 : 1));
}

export function doc<B = any>(kind: DocKind, id: string): Doc<B> | undefined {
  return docs.value.get(`${kind}/${id}`);
}

export interface Waiting {
  id: string;
  kind: DocKind;
  doc: string;
  author: string;
  made: string;
  reason: string;
  changes: string[];
  tries: number;
  lastTry: string | null;
  lastError: string | null;
}

/** Edits on this device that have no receipt from the server yet, oldest first. */
export const waiting: ReadonlySignal<Waiting[]> = computed(() =>
  now.outbox.value.map(({ id, kind, doc, author, made, reason, changes, tries, lastTry, lastError }) => ({
    id, kind, doc, author, made, reason, changes, tries, lastTry, lastError,
  })),
);

export interface Answer {
  id: string;
  outcome: string;
  kind: DocKind;
  doc: string;
  reason: string;
  problems: Problem[];
  body: any;
  at: string;
  /** It was on a screen here, so that it need not be told again. */
  seen?: boolean;
}

/** Receipts that were not plainly applied (merged, question, set aside). They stay until dismissed. */
export const answers: ReadonlySignal<Answer[]> = now.answers;

/**
 * The answers that somebody still has to look after: news until it was on the screen, what was set aside until it is
 * put away, an open question until it is decided.
 */
export const toRead: ReadonlySignal<Answer[]> = computed(() =>
  now.answers.value.filter((a) => {
    if (a.outcome === "set aside") return true;
    if (a.outcome === "question") return doc(a.kind, a.doc)?.questions.length !== 0;
    return !a.seen;
  }),
);

export interface LostOfOthers {
  key: string;
  at: string;
  kind: DocKind;
  doc: string;
  revisions: Revision[];
  proposals: Proposal[];
  body: any;
}

/** What a restored server has lost of others, as this device had read it, and has not got back since. It stays until put away. */
export const lost: ReadonlySignal<LostOfOthers[]> = computed(() =>
  now.lost.value.map(({ key, at, document: { kind, id, body }, revisions, proposals }) => {
    const head = now.mirror.value.get(`${kind}/${id}`);
    const back = editsIn(head ? [head] : []);
    return { key, at, kind, doc: id, body, revisions: revisions.filter((r) => !back.has(r.edit)), proposals: proposals.filter((p) => !back.has(p.id)) };
  }).filter((l) => l.revisions.length + l.proposals.length > 0),
);

export interface Status {
  server: "reached" | "not reached" | "not tried";
  /** Time of the last successful reading from the server, by this device's clock, so that an age reckoned here is right. */
  asOf: string | null;
  waiting: number;
  core: "not started" | "starting" | "ready" | "failed";
  storage: "ok" | "blocked";
  storageText: string | null;
  persisted: boolean | null;
  /** A new version is wholly on this device and waits to be taken. */
  update: boolean;
  demo: boolean;
  readonly: boolean;
  /** The server's log is not the one that this device read. */
  headDiffers: boolean;
  /** What the server cannot show because its record there is damaged, in words. */
  damaged: readonly string[];
}

export const status: ReadonlySignal<Status> = computed(() => ({
  server: now.server.value,
  asOf: now.asOf.value,
  waiting: now.outbox.value.length,
  core: now.core.value,
  storage: now.storage.value.state,
  storageText: now.storage.value.text,
  persisted: now.persisted.value,
  update: now.update.value,
  demo: now.demo.value,
  readonly: now.readonly.value,
  headDiffers: now.headDiffers.value,
  damaged: now.damaged.value.map((d) => d.text),
}));

/** Who a session at the server belongs to, as that said it last. */
export interface Session {
  person: string;
  roles: readonly PersonRole[];
  until: string;
}

/** Whose key is open on this page, and who looked at the PIN: the server, or this device alone. */
export interface Unlocked {
  person: string;
  checked: "server" | "here";
}

/** Somebody keeps a change and has to sign in first. */
export interface Asking {
  person: string;
  /** Who else may keep it as what it is. */
  others: readonly string[];
  /** Called with who signed in, or with null where nobody did. */
  done(person: string | null): void;
}

/** This device as it was let in; null: it never was. */
export const enrolled: ReadonlySignal<EnrolledDevice | null> = now.enrolled;
/** The server knows this device; true until it says otherwise. */
export const known: ReadonlySignal<boolean> = now.known;
export const revoked: ReadonlySignal<boolean> = now.revoked;
export const forked: ReadonlySignal<boolean> = now.forked;
/** The unit waits for its first person, who is at this page. */
export const setup: ReadonlySignal<boolean> = now.settingUp;
export const demoCodes: ReadonlySignal<DemoCodes | null> = now.demoCodes;
/** Who is signed in at the server; null: nobody. */
export const session: ReadonlySignal<Session | null> = now.session;
/** The ways to sign in, besides the PIN, that the server has. */
export const ways: ReadonlySignal<{ passkeys: boolean; sso: boolean }> = now.ways;
/** Whose changes can be kept now without a PIN; null: this device is locked. */
export const unlocked: ReadonlySignal<Unlocked | null> = now.unlocked;
export const asking: ReadonlySignal<Asking | null> = now.asking;

/** The person at this device, signed in or not. */
export const me: ReadonlySignal<string | null> = now.me;
export const look: ReadonlySignal<"dim" | "bright"> = now.look;

export { setLanguage, setLook, setMe } from "./local/device";
export { iMay, whoMay } from "./local/author";
export { becomeEnrolled } from "./local/enrolled";
export { newId } from "./local/ids";
export { NotKept } from "./local/notkept";
export { bigChanges, check, diff, identityIn, keep, merge, rank, sheetFromCase, type Keep } from "./local/keep";
export { keepRecord } from "./local/keeprecord";
export type { NewRecord, NoteRecord, PauseRecord, RecordAnswer, RecordBody, RecordLine } from "./local/record";
export { dismissAnswer, dismissLost, sawAnswers, waitingFile } from "./local/outbox";
export { revision } from "./local/revisions";
export { setAsideAfter, type SetAsideEdit } from "./local/setaside";
export { stable } from "./local/stable";
export { clearAnswers, setAnswer, setTick, sheetsInUse, sheetUse, useSheet } from "./local/sheets";
export { takeIn } from "./local/takein";
export { signIn, signOut, type NotIn } from "./local/unlock";
export { addPasskey, cameBack, goToSignOn, passkeySignIn, passkeysHere } from "./local/otherways";
export { sync } from "./sync/sync";
export { takeUpdate } from "./update";

export interface SheetUse {
  caseId: string;
  sheet: Sheet;
  madeAt: string;
  ticks: Record<string, string /* ISO time */>;
  answers: Record<string /* pause/line id */, { answer: string; note?: string; at: string }>;
}

export type { Case, Problem, Sheet, View };
