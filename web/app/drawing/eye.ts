import type { Basics } from "../generated/types";

// The eye as the surgeon sees it through the microscope. The lens has radius 1 at the origin; x is to the surgeon's
// right and y away from the surgeon, so the surgeon sits below. Angles are degrees, counted from x towards y.

export type Point = readonly [x: number, y: number];
export type Eye = "right eye" | "left eye";
export type Side = "superior" | "inferior" | "temporal" | "nasal";

/** What of the card decides where things lie. */
export type Stated = Pick<Basics, "handedness" | "seat" | "main_place" | "side_hours" | "side_hand">;

/** What the card leaves open and the drawing had to put somewhere. */
export type Assumed = "seat" | "main" | "steep" | "side";

export interface Frame {
  /** Unit vectors from the centre to both incisions. */
  main: Point;
  side: Point;
  /** Unit vectors of the drawing's own axes: away from the main incision, and towards the hand with the second instrument. */
  along: Point;
  across: Point;
  /** -1 when the second instrument is in the left hand, 1 when it is in the right. */
  lean: -1 | 1;
  /** Where the sides of the eye lie; null when nobody said where the surgeon sits. */
  sides: Record<Side, Point> | null;
  assumed: Assumed[];
}

/** The cornea's edge, where the incisions are; common practice, no source, and schematic. */
export const limbus = 1.2;

const towardsSurgeon = 270;

export function frameOf(eye: Eye, of: Stated): Frame {
  const sides = of.seat ? sidesOf(eye, of.seat) : null;
  const assumed: Assumed[] = sides ? [] : ["seat"];
  const main = mainAt(of.main_place, sides, assumed);
  const left = secondHand(of) === "left";
  if (!of.side_hours || !of.side_hand) assumed.push("side");
  // Without a word about it a quarter of the clock is drawn; the screen says so.
  const side = main + (left ? -30 : 30) * Number(of.side_hours || 3);
  return {
    main: at(main), side: at(side), along: at(main + 180), across: at(main + (left ? -90 : 90)),
    lean: left ? -1 : 1, assumed,
    sides: sides && { superior: at(sides.superior), inferior: at(sides.superior + 180), temporal: at(sides.temporal), nasal: at(sides.temporal + 180) },
  };
}

/** Seated at the head of a patient who looks up, the patient's right is the surgeon's right; at the temple all is turned until that side is near. */
function sidesOf(eye: Eye, seat: "superior" | "temporal"): { superior: number; temporal: number } {
  const temporal = eye === "right eye" ? 0 : 180;
  const turn = seat === "temporal" ? towardsSurgeon - temporal : 0;
  return { superior: towardsSurgeon + turn, temporal: temporal + turn };
}

function mainAt(place: Stated["main_place"], sides: { superior: number; temporal: number } | null, assumed: Assumed[]): number {
  if (place === "steep axis") assumed.push("steep");
  else if (!place) assumed.push("main");
  if (!sides || !place || place === "steep axis") return towardsSurgeon;
  if (place === "superior" || place === "temporal") return sides[place];
  // The temporal side is a quarter from the superior one, one way or the other.
  const towards = Math.sign(((sides.temporal - sides.superior + 540) % 360) - 180) * (place === "superotemporal" ? 1 : -1);
  return sides.superior + 45 * towards;
}

/** The hand on the side incision; by custom the one that does not hold the tip (common practice, no source). */
function secondHand(of: Stated): "left" | "right" {
  return of.side_hand ?? (of.handedness === "left-handed" ? "right" : "left");
}

export function at(degrees: number, radius = 1): Point {
  const a = (degrees * Math.PI) / 180;
  return [radius * Math.cos(a), radius * Math.sin(a)];
}

/** A point of a picture, given along and across, in the surgeon's view. */
export function place(f: Frame, [s, t]: Point): Point {
  return [s * f.along[0] + t * f.across[0], s * f.along[1] + t * f.across[1]];
}
