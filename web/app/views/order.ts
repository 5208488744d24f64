/** The list with the named elements in the order given, each in a place one of them had. */
export function inOrder<T>(list: readonly T[], order: readonly string[], nameOf: (t: T) => string): T[] {
  const moved = order.flatMap((name) => list.find((t) => nameOf(t) === name) ?? []);
  const names = moved.map(nameOf);
  let next = 0;
  return list.map((t) => (names.includes(nameOf(t)) ? moved[next++]! : t));
}
