import { Nucleus } from "../drawing/nucleus";
import type { Eye, Stated } from "../drawing/eye";
import type { Card, PhaseLimits, StepLine } from "../generated/types";
import { doc, type Doc, type SheetUse } from "../state";
import { textDrawing } from "../text-drawing";
import { handsApart } from "./hands";
import { eyeUnsettled } from "./othercase";
import { questionsAt } from "./question";
import { cardQuestions } from "./unresolved";

/** The technique of a card in pictures. What two people changed differently is not drawn. */
export function CardDrawing({ of }: { of: Doc<Card> }) {
  const { technique, steps = [], phases = [], basics } = of.body;
  if (technique === "unit's own") return <p class="quiet">{textDrawing.nucleus.none}</p>;
  const asked = new Set(questionsAt(of, "steps").map((q) => q.unit));
  const hidden = new Set(questionsAt(of, "basics").flatMap((q) => [q.base, q.head, q.mine].flatMap((side) => Object.keys(side ?? {}))));
  const settled = Object.fromEntries(Object.entries(basics).filter(([field]) => !hidden.has(field))) as Stated;
  return (
    <Nucleus technique={technique} basics={settled}
      steps={steps.map((s) => ({ key: s.key, title: s.title, does: s.do, kind: phases.find((p) => p.key === s.phase)?.kind, hidden: asked.has(`steps/${s.key}`) }))} />
  );
}

/** The pictures of one phase of a sheet, for the eye of the case. A step that must not be done is not drawn. */
export function PhaseDrawing({ use, phase }: { use: SheetUse; phase: PhaseLimits }) {
  const card = doc<Card>("card", use.sheet.made.card)?.body;
  if (!card || card.technique === "unit's own") return null;
  const asked = new Set(cardQuestions(use).map((q) => q.unit));
  const eye = eyeUnsettled(use) ? undefined : use.sheet.facts.find((f) => f.factor === "eye")?.text;
  const notes = [!eye && textDrawing.nucleus.eyeOpen, handsApart(use)].filter((n): n is string => Boolean(n));
  return (
    <Nucleus big technique={use.sheet.technique} basics={basicsOf(use, asked)} eye={eye as Eye | undefined} notes={notes}
      steps={stepsOf(use, phase).map((s) => ({ key: s.key, title: s.title, does: s.do, kind: s.phase ? phase.kind : undefined, hidden: Boolean(s.struck) || asked.has(`steps/${s.key}`) }))} />
  );
}

/** The steps of a phase and those after it, until the next one that belongs to a phase. */
function stepsOf(use: SheetUse, phase: PhaseLimits): StepLine[] {
  const steps = use.sheet.steps ?? [];
  const at = (i: number) => steps.slice(0, i + 1).reverse().find((s) => s.phase)?.phase;
  return steps.filter((_, i) => at(i) === phase.phase);
}

/** What the frozen sheet says about seat, hands and incisions. */
function basicsOf(use: SheetUse, asked: ReadonlySet<string>): Stated {
  if ([...asked].some((unit) => unit.startsWith("basics/"))) return {};
  const shown = (id: string) => use.sheet.basics?.find((b) => b.id === id);
  const side = shown("side_hours");
  return {
    ...said("handedness", shown("handedness")?.value), ...said("seat", shown("seat")?.value), ...said("main_place", shown("main_place")?.value),
    ...said("side_hours", side?.value), ...said("side_hand", side?.extra?.replace("to the ", "")),
  } as Stated;
}

function said(field: keyof Stated, value: string | undefined): Record<string, string> {
  return value ? { [field]: value } : {};
}
