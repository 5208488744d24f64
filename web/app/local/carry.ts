// What may be carried over when a new sheet replaces one in use. Pure.

import type { Sheet } from "../generated/types";

/**
 * Keeps the entries whose line says the same in both sheets. A tick on a line
 * that changed (another quantity, withheld now) would vouch for something
 * nobody looked at, so it goes. The key of an entry ends in the key of its
 * line: "instruments/chopper" and "chopper" both speak of the line "chopper".
 */
export function stillTrue<V>(entries: Record<string, V>, from: Sheet | undefined, to: Sheet): Record<string, V> {
  if (!from) return entries;
  const before = lines(from);
  const after = lines(to);
  return Object.fromEntries(
    Object.entries(entries).filter(([key]) => {
      const line = key.slice(key.lastIndexOf("/") + 1);
      return after.has(line) && after.get(line) === before.get(line);
    }),
  );
}

// Every line that can be ticked or answered, with what it says; where it came from does not count.
function lines(sheet: Sheet): Map<string, string> {
  const said = new Map<string, string>();
  const note = (key: string, line: object) => said.set(key, (said.get(key) ?? "") + JSON.stringify({ ...line, why: [] }));
  for (const l of sheet.setup ?? []) note(l.key, l);
  for (const l of sheet.drugs ?? []) note(l.key, l);
  for (const l of sheet.limits ?? []) note(l.phase, l);
  for (const l of sheet.steps ?? []) note(l.key, l);
  for (const p of sheet.pauses ?? []) for (const l of p.lines ?? []) note(l.id, l);
  for (const t of sheet.triggers ?? []) note(t.trigger.key, t);
  return said;
}
