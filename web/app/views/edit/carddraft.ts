import type { Card, Trigger } from "../../generated/types";
import { me, type Doc } from "../../state";
import { stable } from "../newer";
import { draftOf, opened, useDraft, type Draft } from "./draft";

/** What is being written, the card it is compared with, and the document as it was when the editor was opened. */
export interface CardDraft {
  card: Card;
  base: Card | null;
  from: Doc<Card> | null;
  copiedFrom: string | null;
  settles: string[];
  /** The proposals that the card answers. */
  takes?: string[];
  /** The reason, where it was typed before the change was kept. */
  reason?: string;
}

/** What is being written of a card that is there: taken up again, or begun from the card as it stands. */
export function useCardDraft(of: Doc<Card>): Draft<CardDraft> {
  return useDraft<CardDraft>(cardDraftKey(of.id), () => ({ card: of.body, base: of.body, from: opened(of), copiedFrom: null, settles: [] }),
    (d) => cardWasKept(d, of) || saysNothing(d));
}

/** Where the draft lies. On a shared tablet everybody has their own: a change must not be kept under another's name. */
export function cardDraftKey(id: string, proposal = ""): string {
  return `card/${id}/${me.value ?? ""}${proposal && `/${proposal}`}`;
}

/** Whether a change of the card was begun here by whoever is editing, and not kept. */
export function hasCardDraft(of: Doc<Card>): boolean {
  const draft = me.value === null ? null : draftOf<CardDraft>(cardDraftKey(of.id));
  return draft !== null && stable(draft.card) !== stable(draft.base) && !cardWasKept(draft, of);
}

/** Whether the draft says what the card says, so that nothing of it is left to keep. */
export function cardWasKept(draft: CardDraft, of: Doc<Card>): boolean {
  return draft.settles.length === 0 && stable(tidied(draft.card)) === stable(of.body);
}

/** Whether the draft changes nothing of what it was begun from. Begun anew it starts from the card as it stands now. */
export function saysNothing({ card, base, settles }: CardDraft): boolean {
  return base !== null && settles.length === 0 && stable(tidied(card)) === stable(tidied(base));
}

/** The roles that act in a drill, in the order in which they are shown. */
export const roles = ["surgeon", "scrub", "circulating", "anaesthesia"] as const;

/** The card without the traces of writing: blank lines of actions, lists that became empty, fields that became nothing. */
export function tidied(card: Card): Card {
  const c = card.triggers ? { ...card, triggers: card.triggers.map(withoutBlankLines) } : card;
  return Object.fromEntries(Object.entries(c).filter(([, v]) => v !== undefined && !(Array.isArray(v) && v.length === 0))) as unknown as Card;
}

function withoutBlankLines(t: Trigger): Trigger {
  const out = { ...t };
  for (const r of roles) {
    const lines = (t[r] ?? []).map((l) => l.trim()).filter(Boolean);
    if (lines.length > 0) out[r] = lines;
    else delete out[r];
  }
  return out;
}
