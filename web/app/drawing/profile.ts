// The limits of all phases side by side, as numbers to be drawn, so that a preset that was left from another phase
// jumps out. Pure: what is unusual is said by the core; this only measures where a bar ends.

import type { PhaseKind, Shown } from "../generated/types";
import { parameters } from "../generated/vocabulary";

/** One phase as the sheet or the card shows it. */
export interface ProfilePhase {
  name: string;
  kind?: PhaseKind | undefined;
  values: readonly Shown[];
  /** The card's own values where a variant replaced them. */
  base?: readonly Shown[] | undefined;
  /** Two people changed them differently: no value stands alone. */
  asked?: boolean;
}

export interface Column {
  name: string;
  /** As it is written: "45"; null where the phase states none or it is in question. */
  value: string | null;
  /** Parts of the whole height, from 0 to 1. */
  height: number;
  base: number | null;
  usual: { min: number; max: number } | null;
  outside: boolean;
  asked: boolean;
}

export interface ProfileRow {
  id: string;
  label: string;
  unit: string;
  max: string;
  columns: Column[];
}

const drawn = ["power", "vacuum", "flow"];

/** Power, vacuum and flow over the phases; a row in which no phase states anything is left out. */
export function profile(phases: readonly ProfilePhase[]): ProfileRow[] {
  return drawn.flatMap((id) => {
    const p = parameters.find((x) => x.id === id);
    if (!p) return [];
    const columns = phases.map((phase) => column(phase, id, Number(p.max), p.usual?.find((u) => u.phase === phase.kind)));
    return columns.some((c) => c.value !== null || c.asked) ? [{ id, label: p.label, unit: p.unit ?? "", max: p.max, columns }] : [];
  });
}

function column(phase: ProfilePhase, id: string, max: number, usual: { min: string; max: string } | undefined): Column {
  const asked = phase.asked ?? false;
  const value = asked ? null : numberIn(phase.values, id);
  const base = asked ? null : numberIn(phase.base ?? [], id);
  const range = usual ? { min: Number(usual.min), max: Number(usual.max) } : null;
  const n = Number(value ?? 0);
  return {
    name: phase.name, value, asked,
    height: part(n, max),
    base: base !== null && base !== value ? part(Number(base), max) : null,
    usual: range && { min: part(range.min, max), max: part(range.max, max) },
    outside: value !== null && range !== null && (n < range.min || n > range.max),
  };
}

function numberIn(values: readonly Shown[], id: string): string | null {
  const v = values.find((x) => x.id === id)?.value;
  return v !== undefined && v !== "" && Number.isFinite(Number(v)) ? v : null;
}

/** No bar leaves the drawing, whatever a card says. */
function part(n: number, max: number): number {
  return Math.min(1, Math.max(0, n / max));
}
