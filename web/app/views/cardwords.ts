import type { Card } from "../generated/types";
import { daysSince } from "../parts";

/** The technique in words: the unit's own name where it has one. */
export function techniqueOf(c: Card): string {
  return c.technique === "unit's own" && c.technique_name ? c.technique_name : c.technique;
}

/** Title and technique, without saying the same twice. */
export function cardName(c: Card): string {
  const technique = techniqueOf(c);
  return c.title.toLowerCase().includes(technique.toLowerCase()) ? c.title : `${c.title}, ${technique}`;
}

export type ReviewState = "none" | "fine" | "soon" | "over";

/** Days before the review date from which it is mentioned. */
const soonDays = 30;

/** Whether the review date has passed or is near. */
export function reviewState(c: Card): ReviewState {
  if (!c.review) return "none";
  const past = daysSince(c.review);
  if (past > 0) return "over";
  return past > -soonDays ? "soon" : "fine";
}
