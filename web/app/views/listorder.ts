// The order of a list, changed by hand. Pure.

export interface Placed {
  id: string;
  position: number;
}

/** The list in its order; cases at one place stand in the order of their ids, on every device the same. */
export function inPlace<C extends Placed>(cases: readonly C[]): C[] {
  return [...cases].sort((a, b) => a.position - b.position || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
}

/** The order with one case a place further up or down; as it is at the ends. */
export function step(order: readonly string[], id: string, by: -1 | 1): string[] {
  const from = order.indexOf(id), to = from + by;
  if (from < 0 || to < 0 || to >= order.length) return [...order];
  const out = [...order];
  [out[from], out[to]] = [out[to]!, out[from]!];
  return out;
}

/** The order somebody made, over the cases there are now: what came meanwhile stands at the end, what went is gone. */
export function orderNow<C extends Placed>(order: readonly string[], cases: readonly C[]): C[] {
  const known = order.flatMap((id) => cases.find((c) => c.id === id) ?? []);
  return [...known, ...inPlace(cases.filter((c) => !order.includes(c.id)))];
}

/**
 * Which cases get another place, so that the list stands in this order. The places that were used stay in use, and
 * a place that two cases shared becomes two; nothing else of a case is touched.
 */
export function newPlaces<C extends Placed>(ordered: readonly C[]): { of: C; position: number }[] {
  const used = ordered.map((c) => c.position).sort((a, b) => a - b);
  let last = 0;
  const places = used.map((p) => (last = Math.max(p, last + 1)));
  return ordered.map((of, i) => ({ of, position: places[i]! })).filter((m) => m.of.position !== m.position);
}
