// The German of the guide, of the calculations and of the risk part: what no screen of the theatre waits for.

import { guide } from "../../generated/guide";
import { guide as german } from "../../generated/guide-de";
import { lay } from "../overlay";
import type { Pair } from "../pairs";
import { told as cardsReckoning } from "./told/cards-reckoning";
import { told as checklistRisk } from "./told/checklist-risk";
import { told as figures } from "./told/figures";

export const told: readonly Pair[] = [...cardsReckoning, ...checklistRisk, ...figures];

export function putGuide(): void {
  lay(guide, german, () => {});
}
