import type { PhaseKind, Technique } from "../generated/types";

// Which picture belongs to which step of a card. Steps are free words, so a step has a picture only where its title or
// the phase it belongs to leaves no doubt; all others keep their words alone. What is done when is common practice, no source.

export type Drawn = Exclude<Technique, "unit's own">;
export type Stage = "incisions" | "groove" | "cross" | "crack" | "halves" | "hold" | "chop" | "part" | "turn" | "tilt" | "bowl" | "flip" | "remove";

/** A step as far as a drawing goes. */
export interface PlainStep {
  key: string;
  title: string;
  kind?: PhaseKind | undefined;
  /** Counts as a step and is not drawn: it must not be done, or two people wrote it differently. */
  hidden?: boolean;
}

export interface DrawnStep extends PlainStep {
  stage: Stage;
}

type Rule = readonly [stage: Stage, title: RegExp];

const incisions: Rule = ["incisions", /incision/i];
const remove: Rule = ["remove", /quadrant|piece|segment|fragment/i];
const turn: Rule = ["turn", /\bturn|rotat/i];

const titles: Record<Drawn, readonly Rule[]> = {
  "divide and conquer": [incisions, ["cross", /cross|four groove|second groove/i], ["groove", /groove|trough|sculpt/i], ["crack", /crack|split|part\b/i], remove],
  "stop and chop": [incisions, ["groove", /groove|trough|sculpt/i], ["crack", /crack|split|part\b/i], turn, ["halves", /chop|halves/i], remove],
  "horizontal chop": [incisions, turn, ["chop", /chop/i], remove],
  "vertical chop": [incisions, ["hold", /impale|hold|bury/i], turn, ["part", /chop|cut|split|part\b/i], remove],
  flip: [incisions, ["bowl", /bowl|hollow/i], ["tilt", /lift|tilt|rise|prolapse/i], ["flip", /flip|roll|turn over/i], ["remove", /aspirat|piece/i]],
};

/** What a phase stands for where the title says nothing: the first step of it, and those after. */
const phases: Record<Drawn, Partial<Record<PhaseKind, readonly [first: Stage, later: Stage]>>> = {
  "divide and conquer": { sculpt: ["groove", "cross"], "segment removal": ["remove", "remove"] },
  "stop and chop": { sculpt: ["groove", "groove"], chop: ["halves", "halves"], "segment removal": ["remove", "remove"] },
  "horizontal chop": { chop: ["chop", "turn"], "segment removal": ["remove", "remove"] },
  "vertical chop": { chop: ["part", "turn"], "segment removal": ["remove", "remove"] },
  flip: { sculpt: ["bowl", "bowl"], "segment removal": ["remove", "remove"] },
};

/** After these the nucleus is gone, whatever the title says. */
const after: readonly (PhaseKind | undefined)[] = ["epinucleus", "cortex", "polish", "viscoelastic removal", "anterior vitrectomy"];

export function isDrawn(technique: string): technique is Drawn {
  return Object.hasOwn(titles, technique);
}

/** Every stage a technique can show, in the order it is done. */
export function stagesOf(technique: Drawn): Stage[] {
  return {
    "divide and conquer": ["incisions", "groove", "cross", "crack", "remove"],
    "stop and chop": ["incisions", "groove", "crack", "turn", "halves", "remove"],
    "horizontal chop": ["incisions", "chop", "turn", "remove"],
    "vertical chop": ["incisions", "hold", "part", "turn", "remove"],
    flip: ["incisions", "tilt", "bowl", "flip", "remove"],
  }[technique] as Stage[];
}

/** The steps that have a picture, in the order of the card. */
export function drawnSteps(technique: Drawn, steps: readonly PlainStep[]): DrawnStep[] {
  const seen = new Set<PhaseKind>();
  const drawn: DrawnStep[] = [];
  for (const step of steps) {
    const { title, kind } = step;
    if (after.includes(kind)) continue;
    const byPhase = kind && phases[technique][kind]?.[seen.has(kind) ? 1 : 0];
    const stage = titles[technique].find(([, words]) => words.test(title))?.[0] ?? byPhase;
    if (kind) seen.add(kind);
    if (stage) drawn.push({ ...step, stage });
  }
  const whole = onlyGroove(technique, drawn);
  return drawn.filter((d) => !d.hidden).map((d) => (d.stage === "groove" && whole ? { ...d, stage: "cross" } : d));
}

/** Divide and conquer in one step of grooves means the whole cross. */
function onlyGroove(technique: Drawn, drawn: readonly DrawnStep[]): boolean {
  return technique === "divide and conquer" && drawn.filter((d) => d.stage === "groove" || d.stage === "cross").length === 1;
}
