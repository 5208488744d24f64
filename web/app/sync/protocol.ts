// What travels between this device and the server. Twin of docs/api.md: a
// change here is a change there.

import type { EyeUnit, Person, PersonRole, Problem, Question, View } from "../generated/types";

export type { Person };
export type Unit = EyeUnit;

export type DocKind = "card" | "case" | "rules" | "person" | "unit" | "record";

/** One place where two people changed one unit differently; its owner answers. */
export interface OpenQuestion extends Question {
  id: string;
  edit: string;
  at: string;
  head_by: string;
  mine_by: string;
  /** Foreseen by this device from an edit that still waits; the server has not asked it yet, so nobody can settle it. */
  foreseen?: boolean;
}

export interface Revision {
  rev: number;
  seq: number;
  at: string;
  made: string;
  by: string;
  device: string;
  edit: string;
  reason: string;
  outcome: string;
  changes: string[];
  /** Who says that its author made it: the server, the device alone, … */
  checked?: string;
}

/** An edit by somebody who is not the document's owner; it waits for the owner's answer. */
export interface Proposal {
  id: string;
  by: string;
  at: string;
  made: string;
  reason: string;
  parent: number;
  /** In words, against base. */
  changes: string[];
  decides?: string[];
  /** What its author saw. */
  base: any;
  body: any;
}

/** A proposal that waits no more. */
export interface ProposalAnswer {
  proposal: string;
  by: string;
  made: string;
  reason: string;
  changes: string[];
  fate: "accepted" | "changed" | "declined" | "replaced";
  /** The answering edit, its author and reason, and the revision it made (0: none). */
  edit: string;
  answered_by: string;
  why: string;
  at: string;
  rev: number;
}

/** An owner's no to a proposal. */
export interface Decline {
  proposal: string;
  reason: string;
}

/** A document as the server sends it. */
export interface Document {
  kind: DocKind;
  id: string;
  rev: number;
  seq: number;
  body: any;
  view?: View;
  questions: OpenQuestion[];
  history: Revision[];
  proposals?: Proposal[];
  answered?: ProposalAnswer[];
}

/** A document whose record on the server is damaged: named, with the reason in words, and nothing of what it says. */
export interface Damaged {
  kind: DocKind | "";
  id: string;
  text: string;
}

/** GET /api/v1/snapshot and GET /api/v1/changes. */
export interface Pulled {
  protocol: number;
  epoch: string;
  seq: number;
  head: string;
  core: string;
  now: string;
  docs: Document[];
  damaged?: Damaged[];
  /** The server's record at this device's place is another one than the device read there. */
  head_differs?: boolean;
}

export interface Edit {
  id: string;
  kind: DocKind;
  doc: string;
  parent: number;
  after?: string;
  author: string;
  device: string;
  made: string;
  reason: string;
  body: unknown;
  decides?: string[];
  takes?: string[];
  declines?: Decline[];
  /** The place in the chain of everything the device signed. */
  chain?: { n: number; prev: string };
  /** The key of the signature, by its id. */
  key?: string;
  /** The PIN was checked by the device alone; absent: by the server. */
  checked?: "here";
  /** What the edit said when it was signed, where it is offered anew after a restore. */
  was?: Was;
  sig?: string;
}

/** What a restore can change of an edit, as it was signed. */
export interface Was {
  id: string;
  parent: number;
  after?: string;
  takes?: string[];
  /** The proposals that it declined, in the order of the edit's declines. */
  declines?: string[];
}

export type Outcome = "applied" | "already applied" | "merged" | "question" | "set aside" | "proposal" | "answered";

export interface Receipt {
  id: string;
  outcome: Outcome;
  /** With "already applied": the outcome of the first time. */
  first?: Outcome;
  kind: DocKind;
  doc: string;
  rev: number;
  seq: number;
  reason?: string;
  problems?: Problem[];
}

/** The answer to POST /api/v1/edits. */
export interface Pushed {
  protocol: number;
  epoch: string;
  seq: number;
  receipts: Receipt[];
}

export interface Health {
  ok: boolean;
  nonce: string;
  /** Absent for a device that may not read. */
  epoch?: string;
  seq?: number;
  core: string;
  readonly: boolean;
  demo: boolean;
  /** There is nobody yet: the first unit lead sets the unit up. */
  setup?: boolean;
  device?: EnrolledDevice | null;
  revoked?: boolean;
  forked?: boolean;
  /** Who is signed in on this device. */
  person?: string | null;
  demo_codes?: DemoCodes;
  /** Other ways to sign in than by PIN, where the server has them. */
  passkeys?: boolean;
  sso?: boolean;
}

/** This device as the server knows it. */
export interface EnrolledDevice {
  id: string;
  name: string;
  /** Several people use it. */
  shared: boolean;
}

/** The codes that enrol a device in the demonstration. */
export interface DemoCodes {
  shared: string;
  personal: string;
}

/** POST /api/v1/sign-in. */
export interface SignedIn {
  protocol: number;
  person: string;
  roles: PersonRole[];
  /** Opens the person's key on this device. */
  secret: string;
  until: string;
}

/** GET /api/v1/me. */
export interface Me {
  protocol: number;
  person: string | null;
  roles: PersonRole[] | null;
  until: string | null;
}

/** The answer to POST /api/v1/enrol. */
export interface Enrolled {
  protocol: number;
  device: EnrolledDevice;
}

/** The answer to POST /api/v1/setup. */
export interface SetUp extends Enrolled {
  person: string;
  pin: string;
}

export interface Refusal {
  code: string;
  text: string;
  problems?: Problem[];
  /** With a wrong PIN or code: seconds until the next try, and how many tries are left before that. */
  wait?: number;
  left?: number;
}

/** The protocol this device speaks. */
export const protocol = 1;
