import type { HandWord } from "../drawing/layout";
import type { Card } from "../generated/types";
import { docsOf, type SheetUse } from "../state";
import { textDrawing } from "../text-drawing";
import { nameOf } from "./people";

/** The hand that the card of the sheet was written for, as the sheet froze it. */
export function writtenFor(use: SheetUse): HandWord | undefined {
  return use.sheet.basics?.find((b) => b.id === "handedness")?.value as HandWord | undefined;
}

/** A surgeon's hand as all own cards say it; unknown where none does or they differ. */
function handOf(surgeon: string): HandWord | undefined {
  const said = new Set(docsOf<Card>("card").filter((d) => d.body.owner === surgeon).map((d) => d.body.basics.handedness).filter((h) => h !== undefined));
  return said.size === 1 ? [...said][0] : undefined;
}

/** Says that the surgeon of the case works with the other hand than the card was written for. */
export function handsApart(use: SheetUse): string | undefined {
  const surgeon = use.sheet.made.case.surgeon;
  const [card, own] = [writtenFor(use), handOf(surgeon)];
  return card && own && card !== own ? textDrawing.trolley.otherHand(card, nameOf(surgeon), own) : undefined;
}
