// The limits of all phases as one table, and what a variant changes in it. No screen.

import type { Shown } from "../../generated/types";

export interface Row {
  id: string;
  label: string;
}

/** One row for each limit that any phase states, in the order in which the phases themselves list them. */
export function rowsOf(phases: readonly (readonly Shown[])[]): Row[] {
  const labels = new Map<string, string>();
  const order: string[] = [];
  for (const values of phases) {
    values.forEach((v, i) => {
      if (labels.has(v.id)) return;
      labels.set(v.id, v.label);
      const before = values[i - 1]?.id;
      order.splice(before === undefined ? 0 : order.indexOf(before) + 1, 0, v.id);
    });
  }
  return order.map((id) => ({ id, label: labels.get(id)! }));
}

/** A value with its unit, never parted, and what belongs to it. */
export function whole(v: Pick<Shown, "value" | "unit" | "extra">): string {
  const value = v.unit ? `${v.value}\u00a0${v.unit}` : v.value;
  return v.extra ? `${value} ${v.extra}` : value;
}

/** What `now` states otherwise than `base`, and what only `base` states. */
export function changes(base: readonly Shown[], now: readonly Shown[]): { other: Shown[]; gone: Shown[] } {
  const same = (v: Shown) => base.some((b) => b.id === v.id && whole(b) === whole(v));
  return { other: now.filter((v) => !same(v)), gone: base.filter((b) => !now.some((v) => v.id === b.id)) };
}

/** A list in parts of at most so many, as even as can be. */
export function evenly<T>(list: readonly T[], most: number): T[][] {
  const parts = Math.ceil(list.length / most);
  const size = Math.ceil(list.length / Math.max(1, parts));
  return Array.from({ length: parts }, (_, i) => list.slice(i * size, (i + 1) * size));
}
