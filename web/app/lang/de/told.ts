// Every pair of what reaches the screen in English from elsewhere.

import type { Pair } from "../pairs";
import { told as cardsDifferences } from "./told/cards-differences";
import { told as cardsFile } from "./told/cards-file";
import { told as cardsProblems } from "./told/cards-problems";
import { told as checklistProblems } from "./told/checklist-problems";
import { told as checklistSheet } from "./told/checklist-sheet";
import { told as serverAnswers } from "./told/server-answers";
import { told as starterDrills } from "./told/starter-drills";
import { told as starterItems } from "./told/starter-items";
import { told as starterPauses } from "./told/starter-pauses";
import { told as starterRulesEye } from "./told/starter-rules-eye";
import { told as starterRulesLens } from "./told/starter-rules-lens";
import { told as starterRulesPatient } from "./told/starter-rules-patient";
import { told as starterWords } from "./told/starter-words";
import { told as stored } from "./told/stored";
import { told as vocabularyLimits } from "./told/vocabulary-limits";
import { told as vocabularyTests } from "./told/vocabulary-tests";
import { told as vocabularyWords } from "./told/vocabulary-words";

export const told: readonly Pair[] = [
  ...cardsDifferences,
  ...cardsFile,
  ...cardsProblems,
  ...checklistProblems,
  ...checklistSheet,
  ...serverAnswers,
  ...starterDrills,
  ...starterItems,
  ...starterPauses,
  ...starterRulesEye,
  ...starterRulesLens,
  ...starterRulesPatient,
  ...starterWords,
  ...stored,
  ...vocabularyLimits,
  ...vocabularyTests,
  ...vocabularyWords,
];
