import type { Case, Factor } from "../../generated/types";
import { factors, words } from "../../generated/vocabulary";

/** Which nucleus scale the form shows. */
export type Scale = "clinical" | "locs" | "both";

export const scaleFactors: Record<Exclude<Scale, "both">, string> = { clinical: "nucleus-clinical", locs: "nucleus-locs" };

/** The answers to a factor; [] when nobody answered. */
export function answersTo(c: Case, factor: string): string[] {
  return [c.facts?.[factor] ?? []].flat();
}

/** Whether the form asks for a factor, given what was answered so far. The eye has a place of its own. */
export function isAsked(f: Factor, c: Case, scale: Scale): boolean {
  if (f.derived || f.id === "eye") return false;
  if (scale !== "both" && f.id === scaleFactors[scale === "clinical" ? "locs" : "clinical"]) return false;
  if (!f.only_with) return true;
  const other = answersTo(c, f.only_with).filter((a) => a !== words.notKnown);
  return f.only_with_values ? other.some((a) => f.only_with_values?.includes(a)) : other.length > 0;
}

/** The factors the form asks for, by group, in the order of the vocabulary. */
export function askedGroups(c: Case, scale: Scale): [string, Factor[]][] {
  const groups = new Map<string, Factor[]>();
  for (const f of factors) {
    if (isAsked(f, c, scale)) groups.set(f.group, [...(groups.get(f.group) ?? []), f]);
  }
  return [...groups];
}

/** The case as it is kept: without answers whose question no longer stands. The draft still holds them. */
export function kept(c: Case, scale: Scale): Case {
  const facts = Object.fromEntries(
    Object.entries(c.facts ?? {}).filter(([id]) => {
      const f = factors.find((x) => x.id === id);
      return !f || f.id === "eye" || isAsked(f, c, scale);
    }),
  );
  const { facts: _, ...rest } = c;
  return Object.keys(facts).length > 0 ? { ...rest, facts } : rest;
}

/** The scale a stored case was graded by. */
export function scaleOf(c: Case): Scale {
  const clinical = answersTo(c, scaleFactors.clinical).length > 0;
  const locs = answersTo(c, scaleFactors.locs).length > 0;
  if (clinical && locs) return "both";
  return locs ? "locs" : "clinical";
}
