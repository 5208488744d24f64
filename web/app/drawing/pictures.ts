import { limbus, place, type Frame, type Point } from "./eye";
import type { Drawn, Stage } from "./stages";

// What is seen at each stage, as plain geometry. Face-on points are written along and across (see Frame) and given in
// the surgeon's view; a section shows depth: x as the plane says, y towards the cornea. All of it is common practice,
// no source: it shows the idea of a move, not its measure.

export type Line = readonly [Point, Point];
export type Who = "tip" | "second" | "cannula" | "nucleus";

export interface Tool {
  who: Exclude<Who, "nucleus">;
  /** Where it works, and where its shaft leaves the picture. */
  at: Point;
  from: Point;
}

export interface Move {
  who: Who;
  /** A line of points with the arrow at its end; a single point with `depth` is a move along the line of sight. */
  path: readonly Point[];
  depth?: "into" | "out";
}

export interface View {
  grooves: Line[];
  cracks: Line[];
  tools: Tool[];
  moves: Move[];
  /** The outline of a piece; `whole` when it is the whole nucleus, which then does not lie at its place. */
  piece: readonly Point[] | null;
  whole: boolean;
  /** The middle of a hollow. */
  bowl: Point | null;
}

export interface Section extends View {
  /** Cut along the way of the tip, seen from the side, or across it, seen from the main incision. */
  plane: "along" | "across";
}

export interface Picture {
  stage: Stage;
  face: View;
  /** null where nothing happens in depth. */
  section: Section | null;
}

export const radius = { core: 0.8, rhexis: 0.52, bowl: 0.4, groove: 0.09 } as const;
/** Half the thickness of lens and core, and how deep a groove goes. */
export const depth = { lens: 0.42, core: 0.32, floor: -0.14 } as const;

const out = limbus + 0.14;
/** Where a chopper stands upright: outside the core, inside the capsule. */
const equator = 0.84;
const edge = radius.core;
const groove: Line = [[-0.5, 0], [0.5, 0]];
const crossGroove: Line = [[0, -0.5], [0, 0.5]];
const through: Line = [[-edge, 0], [edge, 0]];
const crossCrack: Line = [[0, -edge], [0, edge]];

interface Local extends Partial<Omit<View, "tools">> {
  tip?: Point;
  second?: Point;
  cannula?: Point;
}

export function picture(technique: Drawn, stage: Stage, f: Frame): Picture {
  return { stage, face: seen(faceOf(technique, stage), f), section: sectionOf(stage, technique, f) };
}

/** From along and across to the surgeon's view. */
function seen(l: Local, f: Frame): View {
  const put = (p: Point) => place(f, p);
  const line = ([a, b]: Line): Line => [put(a), put(b)];
  const far = (v: Point): Point => [v[0] * out, v[1] * out];
  const tools: Tool[] = [];
  if (l.tip) tools.push({ who: "tip", at: put(l.tip), from: far(f.main) });
  if (l.cannula) tools.push({ who: "cannula", at: put(l.cannula), from: far(f.main) });
  if (l.second) tools.push({ who: "second", at: put(l.second), from: far(f.side) });
  return {
    grooves: (l.grooves ?? []).map(line), cracks: (l.cracks ?? []).map(line), tools,
    moves: (l.moves ?? []).map((m) => ({ ...m, path: m.path.map(put) })),
    piece: l.piece?.map(put) ?? null, whole: l.whole ?? false, bowl: l.bowl ? put(l.bowl) : null,
  };
}

const move = (who: Who, ...path: Point[]): Move => ({ who, path });
const apart = (s: number, gap: number): Move[] => [move("tip", [s, -gap], [s, -0.5]), move("second", [s, gap], [s, 0.5])];

function faceOf(technique: Drawn, stage: Stage): Local {
  const grooves = technique === "divide and conquer" ? [groove, crossGroove] : technique === "stop and chop" ? [groove] : [];
  switch (stage) {
    case "incisions": return {};
    case "groove": return { grooves: [groove], tip: [-0.16, 0], second: [-0.05, 0.62], moves: [move("tip", [-0.04, 0], [0.46, 0])] };
    case "cross": return { grooves, tip: [-0.16, 0], second: [-0.2, 0.62], moves: [move("tip", [-0.04, 0], [0.46, 0]), turning(-25, -85)] };
    case "crack": return {
      grooves, cracks: technique === "divide and conquer" ? [through, crossCrack] : [through],
      tip: [0.27, -0.09], second: [0.27, 0.09], moves: apart(0.27, 0.2),
    };
    case "halves": return {
      grooves: [crossGroove], cracks: [crossCrack, [[0, 0], [edge, 0]]],
      tip: [0.28, 0], second: [equator, 0.13], moves: [move("second", [0.7, 0.13], [0.34, 0.13])],
    };
    case "hold": return { tip: [0.05, 0], second: [-0.1, 0.62], moves: [move("tip", [-0.5, -0.16], [-0.02, -0.16])] };
    case "chop": return { cracks: [through], tip: [0, 0], second: [equator, 0.13], moves: [move("second", [0.7, 0.13], [0.14, 0.13])] };
    case "part": return { cracks: [through], tip: [-0.04, -0.08], second: [0.2, 0.09], moves: [{ who: "second", path: [[0.43, 0.12]], depth: "into" }, ...apart(0.02, 0.22)] };
    case "turn": return { cracks: [turned(edge)], grooves: grooves.map(() => turned(0.5)), tip: [-0.3, -0.1], second: [0.02, 0.55], moves: [turning(75, 75 - swing)] };
    case "tilt": return { cannula: [0.55, -0.3], moves: [{ who: "nucleus", path: [[0, 0.58]], depth: "out" }, move("cannula", [0.6, -0.26], [0.78, -0.04])] };
    case "bowl": return { bowl: [0, 0], tip: [-0.16, 0], second: [-0.1, 0.62], moves: [move("tip", [-0.04, 0], [0.36, 0])] };
    case "hollow": return { ...raised, tip: [-0.2, 0.13], second: [-0.1, 0.7], moves: [move("tip", [-0.06, 0.14], [0.3, 0.14])] };
    case "flip": return { ...raised, second: [0.05, 0.66], moves: [move("nucleus", [0.05, 0.5], [0.05, -0.6])] };
    case "remove": return removal(technique);
  }
}

/** How far a turn is drawn, in degrees. */
const swing = 60;
/** The way of the tip as long again each side, turned as the arrow goes. */
const turned = (half: number): Line => [polar(half, -swing), polar(half, 180 - swing)];
/** Seen from the front a tilted nucleus is narrower and lies towards its risen edge. */
const raised: Local = { piece: ellipse(0.56, 0.51, [0, 0.16]), whole: true, bowl: [0, 0.16] };

/** The nucleus turned so that the second instrument pushes its side away from the main incision. */
function turning(from: number, to: number): Move {
  return move("nucleus", ...arc(0.68, from, to));
}

function arc(r: number, from: number, to: number, n = 8): Point[] {
  return Array.from({ length: n + 1 }, (_, i) => polar(r, from + ((to - from) * i) / n));
}

function polar(r: number, degrees: number): Point {
  const a = (degrees * Math.PI) / 180;
  return [r * Math.cos(a), r * Math.sin(a)];
}

/** Four quadrants, or six pieces of a chop; a flipped nucleus comes whole. */
export function piecesOf(technique: Drawn): number {
  return technique === "divide and conquer" ? 4 : technique === "flip" ? 1 : 6;
}

function removal(technique: Drawn): Local {
  const n = piecesOf(technique);
  const half = 180 / n;
  const tools = { tip: [-0.08, 0], second: [0.16, 0.3] } satisfies Local;
  const come = move("nucleus", [0.66, 0], [0.16, 0]);
  if (n === 1) return { ...tools, piece: arc(0.62, 0, 360, 24), whole: true, moves: [come] };
  const cracks = Array.from({ length: n }, (_, i): Line => [[0, 0], polar(edge, half + (360 / n) * i)]);
  return { ...tools, cracks, piece: [[0, 0], ...arc(edge, -half, half)], moves: [come] };
}

// ----- section -----

/** Along it the tip comes through the main incision; whatever comes from out of the plane is cut off under the cornea. */
const wound: Point = [-limbus, 0.62];
const cutOff = ([x, y]: Point): Point => [x, y + 0.42];

interface LocalSection {
  plane: Section["plane"];
  tip?: Point;
  second?: Point;
  cannula?: Point;
  grooves?: Line[];
  cracks?: Line[];
  moves?: Move[];
  piece?: Point[];
  whole?: boolean;
  bowl?: Point;
}

function sectionOf(stage: Stage, technique: Drawn, f: Frame): Section | null {
  const l = localSection(stage, technique);
  if (!l) return null;
  // Across, the hand with the second instrument decides which side is which; along, the main incision is always at the left.
  const put = ([x, y]: Point): Point => [l.plane === "across" ? x * f.lean : x, y];
  const line = ([a, b]: Line): Line => [put(a), put(b)];
  const tools: Tool[] = [];
  const hold = (who: Tool["who"], to: Point | undefined) => {
    if (!to) return;
    const from: Point = l.plane === "along" && who !== "second" ? wound : cutOff(to);
    tools.push({ who, at: put(to), from: put(from) });
  };
  hold("tip", l.tip);
  hold("cannula", l.cannula);
  hold("second", l.second);
  return {
    plane: l.plane, tools, grooves: (l.grooves ?? []).map(line), cracks: (l.cracks ?? []).map(line),
    moves: (l.moves ?? []).map((m) => ({ ...m, path: m.path.map(put) })), piece: l.piece?.map(put) ?? null, whole: l.whole ?? false, bowl: l.bowl ?? null,
  };
}

const { core, floor } = depth;
const lengthwise: Line = [[-0.5, floor], [0.5, floor]];
const crosswise: Line = [[-radius.groove, floor], [radius.groove, floor]];
const toBack: Line = [[0, floor], [0, -core]];

function localSection(stage: Stage, technique: Drawn): LocalSection | null {
  switch (stage) {
    case "incisions":
    case "turn": return null;
    case "groove":
    case "cross": return { plane: "along", grooves: [lengthwise], tip: [-0.05, floor + 0.07], moves: [move("tip", [0.06, floor + 0.1], [0.42, floor + 0.1])] };
    case "crack": return {
      plane: "across", grooves: [crosswise], cracks: [toBack], tip: [-0.05, floor + 0.08], second: [0.05, floor + 0.08],
      moves: [move("tip", [-0.16, floor + 0.1], [-0.52, floor + 0.1]), move("second", [0.16, floor + 0.1], [0.52, floor + 0.1])],
    };
    case "halves": return { plane: "along", grooves: [crosswise], cracks: [toBack], tip: [0.26, 0], second: [equator, 0], moves: [move("second", [0.74, 0], [0.38, 0])] };
    case "hold": return { plane: "along", tip: [0.05, -0.06], moves: [move("tip", [-0.62, 0.06], [-0.1, -0.16])] };
    case "chop": return { plane: "along", cracks: [[[0, 0.05], [0, -core]]], tip: [-0.02, 0], second: [equator, 0], moves: [move("second", [0.74, 0], [0.16, 0])] };
    case "part": return {
      plane: "across", cracks: [[[0, core - 0.02], [0, -core]]], tip: [-0.14, 0], second: [0.06, -0.04],
      moves: [move("second", [0.2, 0.26], [0.2, -0.04]), move("tip", [-0.26, 0], [-0.6, 0]), move("second", [0.3, -0.12], [0.62, -0.12])],
    };
    case "tilt": return { plane: "across", piece: tilted(0.56, 24, 0.18), whole: true, moves: [move("nucleus", [0.72, 0.14], [0.72, 0.48])] };
    case "bowl": return { plane: "along", bowl: [0, 0], tip: [-0.08, -0.02], moves: [move("tip", [0.02, 0.04], [0.32, 0.04])] };
    case "hollow": return { plane: "across", piece: tilted(0.56, 24, 0.18, true), whole: true, tip: [0.17, 0.17] };
    case "flip": return { plane: "across", piece: tilted(0.5, 62, 0.3), whole: true, second: [0.56, 0.3], moves: [move("nucleus", ...arc(0.5, 65, 125).map(([x, y]): Point => [x, y + 0.2]))] };
    case "remove": return technique === "flip"
      ? { plane: "along", piece: ellipse(0.55, 0.14, [0.14, 0.56]), whole: true, tip: [-0.3, 0.56], moves: [move("nucleus", [0.42, 0.56], [-0.12, 0.56])] }
      : { plane: "along", cracks: [[[-0.2, 0.3], [-0.2, -0.3]]], piece: [[-0.05, 0.4], [0.36, 0.5], [0.5, 0.36], [0.16, 0.26]], tip: [-0.14, 0.4], second: [0.3, 0.14], moves: [move("nucleus", [0.62, 0.06], [0.4, 0.3])] };
  }
}

function ellipse(a: number, b: number, [cx, cy]: Point, by = 0, hollow = false): Point[] {
  const cos = Math.cos(by), sin = Math.sin(by);
  return arc(1, 0, 345, 23).map(([x, h]): Point => {
    const y = hollow && h > 0 ? h - Math.max(0, 1.3 - 3.2 * x * x) : h;
    return [cx + a * x * cos - b * y * sin, cy + a * x * sin + b * y * cos];
  });
}

/** The nucleus with one edge risen through the opening of the capsule. */
function tilted(a: number, degrees: number, up: number, hollow = false): Point[] {
  return ellipse(a, 0.16, [0.16, up], (degrees * Math.PI) / 180, hollow);
}
