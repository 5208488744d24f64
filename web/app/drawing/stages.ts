import type { PhaseKind, Technique } from "../generated/types";

// Which picture belongs to which step of a card. Steps are free words, so a step has a picture only where its title or
// the phase it belongs to leaves no doubt; all others keep their words alone. What is done when is common practice, no source.

export type Drawn = Exclude<Technique, "unit's own">;
export type Stage = "incisions" | "groove" | "cross" | "crack" | "halves" | "hold" | "chop" | "part" | "turn" | "tilt" | "bowl" | "hollow" | "flip" | "remove";

/** A step as far as a drawing goes. */
export interface PlainStep {
  key: string;
  title: string;
  kind?: PhaseKind | undefined;
  /** What the card says is done in it. */
  does?: string | undefined;
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
/** The act and not the instrument. */
const chopping = /chop(?!per)/i;

const titles: Record<Drawn, readonly Rule[]> = {
  "divide and conquer": [incisions, ["cross", /cross|four groove|second groove/i], ["groove", /groove|trough|sculpt/i], ["crack", /crack|split|part\b/i], remove],
  "stop and chop": [incisions, ["groove", /groove|trough|sculpt/i], ["crack", /crack|split|part\b|halve\b|halving/i], ["turn", /\bturn|rotat|\bstop/i], ["halves", /chop(?!per)|halves/i], remove],
  "horizontal chop": [incisions, turn, ["chop", chopping], remove],
  "vertical chop": [incisions, ["hold", /impale|hold|bury/i], turn, ["part", /chop(?!per)|cut|split|part\b/i], remove],
  flip: [incisions, ["bowl", /bowl|hollow/i], ["tilt", /lift|tilt|rise|prolapse/i], ["flip", /flip|roll|turn over/i], ["remove", /aspirat|piece/i]],
};

/** What the first step of a phase is where its title says nothing. Which act comes later in a phase, or first where a tip may be buried or a nucleus turned before the chop, is in doubt. */
const phases: Record<Drawn, Partial<Record<PhaseKind, Stage>>> = {
  "divide and conquer": { sculpt: "groove", "segment removal": "remove" },
  "stop and chop": { sculpt: "groove", "segment removal": "remove" },
  "horizontal chop": { chop: "chop", "segment removal": "remove" },
  "vertical chop": { "segment removal": "remove" },
  flip: { sculpt: "bowl", "segment removal": "remove" },
};

/** After these the nucleus is gone, whatever the title says. */
const after: readonly (PhaseKind | undefined)[] = ["epinucleus", "cortex", "polish", "viscoelastic removal", "anterior vitrectomy"];

export function isDrawn(technique: string): technique is Drawn {
  return Object.hasOwn(titles, technique);
}

/** Every stage a technique can show, in the order it is done. A nucleus is hollowed flat, or raised after it was tilted. */
export function stagesOf(technique: Drawn): Stage[] {
  return {
    "divide and conquer": ["incisions", "groove", "cross", "crack", "remove"],
    "stop and chop": ["incisions", "groove", "crack", "turn", "halves", "remove"],
    "horizontal chop": ["incisions", "chop", "turn", "remove"],
    "vertical chop": ["incisions", "hold", "part", "turn", "remove"],
    flip: ["incisions", "bowl", "tilt", "hollow", "flip", "remove"],
  }[technique] as Stage[];
}

/** The pictures in the order of the card; a step of two acts has two. */
export function drawnSteps(technique: Drawn, steps: readonly PlainStep[]): DrawnStep[] {
  const seen = new Set<PhaseKind>();
  const drawn: DrawnStep[] = [];
  for (const step of steps) {
    const { kind } = step;
    if (after.includes(kind)) continue;
    const byPhase = kind && !seen.has(kind) && phases[technique][kind];
    const acts = actsOf(technique, step);
    if (kind) seen.add(kind);
    for (const stage of acts[0] || !byPhase ? acts : [byPhase]) drawn.push({ ...step, stage });
  }
  const whole = onlyGroove(technique, drawn);
  const raised = drawn.findIndex((d) => d.stage === "tilt");
  return drawn.map((d, i): DrawnStep => (d.stage === "groove" && whole ? { ...d, stage: "cross" } : d.stage === "bowl" && raised >= 0 && raised < i ? { ...d, stage: "hollow" } : d))
    .filter((d) => !d.hidden);
}

/** What the words of a step name: one act, or a turn with the chop before or after it, or a groove that is cracked at once. */
function actsOf(technique: Drawn, { title, does = "" }: PlainStep): Stage[] {
  const found = titles[technique].filter(([, words]) => words.test(title));
  const acts = found.slice(0, found[0]?.[0] === "turn" && chopping.test(title) ? 2 : 1);
  const stages = acts.sort(([, a], [, b]) => title.search(a) - title.search(b)).map(([stage]) => stage);
  return technique === "stop and chop" && stages[0] === "groove" && /then (crack|split)/i.test(does) ? ["groove", "crack"] : stages;
}

/** Divide and conquer in one step of grooves means the whole cross. */
function onlyGroove(technique: Drawn, drawn: readonly DrawnStep[]): boolean {
  return technique === "divide and conquer" && drawn.filter((d) => d.stage === "groove" || d.stage === "cross").length === 1;
}
