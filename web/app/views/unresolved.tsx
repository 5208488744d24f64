import type { PhaseLimits } from "../generated/types";
import { Caution, Stop, TwoValues } from "../parts";
import { docs, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { sideText } from "./names";
import { nameOf } from "./people";
import { withNames } from "./withnames";

/** Two people changed one thing differently: neither value stands in front, and no value stands alone. */
export function Unresolved({ question: q, children, stop }: { question: OpenQuestion; children: string; stop?: boolean }) {
  const Notice = stop ? Stop : Caution;
  return (
    <div class="stack-close">
      <Notice word={textCase.limits.unresolved}>{children}</Notice>
      <Sides question={q} />
    </div>
  );
}

export function Sides({ question }: { question: OpenQuestion }) {
  const q = withNames(question, nameOf);
  return (
    <TwoValues label={q.label} sides={[
      { text: sideText(q.head_text), by: textCase.limits.unresolvedHead(nameOf(q.head_by)) },
      { text: sideText(q.mine_text), by: textCase.limits.unresolvedHead(nameOf(q.mine_by)) },
    ]} />
  );
}

/** The open questions of the card that the sheet was made from. */
export function cardQuestions(use: SheetUse): readonly OpenQuestion[] {
  return docs.value.get(`card/${use.sheet.made.card}`)?.questions ?? [];
}

export function cardQuestion(use: SheetUse, unit: string): OpenQuestion | undefined {
  return cardQuestions(use).find((q) => q.unit === unit);
}

/** The open question about the limits shown for a phase, if there is one now: the variant's own where a variant replaced them. */
export function limitsQuestion(use: SheetUse, phase: PhaseLimits): OpenQuestion | undefined {
  return cardQuestion(use, phase.variant ? `variants/${phase.variant}` : `phases/${phase.phase}`);
}
