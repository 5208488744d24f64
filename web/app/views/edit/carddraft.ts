import type { Card } from "../../generated/types";
import { me, type Doc } from "../../state";
import { stable } from "../newer";
import { draftOf } from "./draft";

/** What is being written, the card it is compared with, and the document as it was when the editor was opened. */
export interface CardDraft {
  card: Card;
  base: Card | null;
  from: Doc<Card> | null;
  copiedFrom: string | null;
  settles: string[];
  /** The proposals that the card answers. */
  takes?: string[];
}

/** Where the draft lies. On a shared tablet everybody has their own: a change must not be kept under another's name. */
export function cardDraftKey(id: string, proposal = ""): string {
  return `card/${id}/${me.value ?? ""}${proposal && `/${proposal}`}`;
}

/** Whether a change of the card was begun here by whoever is editing, and not kept. */
export function hasCardDraft(id: string): boolean {
  const draft = me.value === null ? null : draftOf<CardDraft>(cardDraftKey(id));
  return draft !== null && stable(draft.card) !== stable(draft.base);
}
