// What travels between this device and the server. Twin of docs/api.md: a
// change here is a change there.

import type { EyeUnit, Person, Problem, Question, View } from "../generated/types";

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
  epoch: string;
  seq: number;
  core: string;
  readonly: boolean;
  demo: boolean;
}

export interface Refusal {
  code: string;
  text: string;
  problems?: Problem[];
}

/** The protocol this device speaks. */
export const protocol = 1;
