import { factors, words } from "../generated/vocabulary";
import type { Case, Special } from "../generated/types";
import type { SheetUse } from "../state";
import { answersTo } from "./edit/asked";

export const allergyFacts: readonly string[] = ["allergies", "allergy-other"];
const labels = factors.filter((f) => allergyFacts.includes(f.id)).map((f) => `${f.label.toLowerCase()}: `);
const nothing: readonly string[] = [words.no, words.none, words.notKnown, ""];

/** What the patient is allergic to, as the case says it: the list and what was written in words. */
export function allergiesOf(c: Case): string[] {
  return allergyFacts.flatMap((f) => answersTo(c, f)).filter((a) => !nothing.includes(a));
}

/** Whether a line of the sheet stands there because of an allergy: its reasons carry the fact that decided, by its label. */
export function becauseOfAllergy(s: Pick<Special, "why">): boolean {
  return s.why.some((w) => (w.from === "fact" ? allergyFacts.includes(w.id) : labels.some((l) => w.text.toLowerCase().includes(l))));
}

/** Allergies first, and within that the order of the sheet. */
export function allergyFirst<T extends Pick<Special, "why">>(list: readonly T[]): T[] {
  return [...list.filter(becauseOfAllergy), ...list.filter((s) => !becauseOfAllergy(s))];
}

/** What is withheld, by name: with nothing in its place, or because of an allergy with what the unit has set. */
export function withheldOn({ setup, drugs }: SheetUse["sheet"]): string[] {
  return [...setup, ...(drugs ?? [])]
    .filter((l) => l.struck === "withheld" || (l.struck === "substituted" && becauseOfAllergy(l))).map((l) => l.name);
}
