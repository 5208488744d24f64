import type { Case } from "../generated/types";
import { factors, words } from "../generated/vocabulary";
import { allergyFacts } from "./allergy";

/** Answers that call for nothing. */
const plain: readonly string[] = [words.no, words.none, words.notKnown];

/**
 * What was answered otherwise than no where no was an answer: "Alpha-blocker, ever taken: tamsulosin". Measured values
 * are left to the sheet, because whether a number is special is a rule and rules live in the core. Allergies have a place of their own.
 */
export function factsInShort(c: Case): string[] {
  return factors.flatMap((f) => {
    const couldBeNo = f.kind === "set" || f.kind === "text" || f.options?.includes(words.no);
    const answer = [c.facts?.[f.id] ?? []].flat();
    if (!couldBeNo || answer.length === 0 || allergyFacts.includes(f.id)) return [];
    if (f.id === "fundal-view") return answer[0] === words.no ? [`${f.label}: ${words.no}`] : [];
    if (plain.includes(answer[0] ?? "")) return [];
    return answer[0] === words.yes ? [f.label] : [`${f.label}: ${answer.join(", ")}`];
  });
}
