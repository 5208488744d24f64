import type { Card, Limits } from "../../generated/types";
import { parameters } from "../../generated/vocabulary";
import { isNumber, toMillionths } from "../../parts";
import { textCase } from "../../text-case";

const words = textCase.edit;

/** A number that became at least twice as large, or at most half. Slips by a factor of ten are among these. */
export interface BigChange {
  path: string;
  what: string;
  was: string;
  now: string;
}

/** Whether a change of a number is so large that it is asked about. Something from nothing is not: nothing was stated before. */
export function isBig(was: string | undefined, now: string | undefined): boolean {
  if (!was || !now || was === now || !isNumber(was) || !isNumber(now)) return false;
  const [a, b] = [toMillionths(was), toMillionths(now)];
  return Math.sign(a) !== Math.sign(b) || Math.abs(b) >= 2 * Math.abs(a) || Math.abs(a) >= 2 * Math.abs(b);
}

/** How much larger or smaller, in words; to one place, because it is the size of a slip that counts. */
export function sizeOf(was: string, now: string): string {
  const [a, b] = [toMillionths(was), toMillionths(now)];
  if (a === 0) return words.fromZero;
  if (b === 0) return words.toZero;
  if (Math.sign(a) !== Math.sign(b)) return words.otherSign;
  return Math.abs(b) >= Math.abs(a) ? words.timesMore(tenths(b / a)) : words.partOf(tenths(a / b));
}

function tenths(factor: number): number {
  return Math.round(factor * 10) / 10;
}

export const limitNumbers = ["power", "pulse_rate", "duty_cycle", "burst_length", "vacuum", "flow", "bottle", "pressure", "cut_rate"] as const;

/** Every large change of a number from one card to the other. */
export function bigChanges(from: Card, to: Card): BigChange[] {
  const out: BigChange[] = [];
  const compare = (path: string, what: string, was: string | undefined, now: string | undefined, unit = "") => {
    if (isBig(was, now)) out.push({ path, what, was: withUnit(was ?? "", unit), now: withUnit(now ?? "", unit) });
  };
  const limits = (path: string, name: string, was: Limits | undefined, now: Limits) => {
    for (const id of limitNumbers) {
      const p = parameters.find((x) => x.id === id);
      compare(`${path}/${id}`, `${name}, ${p?.label ?? id}`, was?.[id], now[id], p?.unit);
    }
  };
  for (const p of to.phases ?? []) limits(`phases/${p.key}`, p.name, from.phases?.find((x) => x.key === p.key)?.limits, p.limits);
  for (const v of to.variants ?? []) {
    const old = from.variants?.find((x) => x.key === v.key);
    for (const c of v.phases ?? []) limits(`variants/${v.key}/${c.phase}`, v.title, old?.phases?.find((x) => x.phase === c.phase)?.limits, c.limits);
  }
  for (const d of to.drugs ?? []) {
    const old = from.drugs?.find((x) => x.key === d.key);
    compare(`drugs/${d.key}/strength`, `${d.name}, ${words.strength}`, sameUnit(old?.strength, d.strength), d.strength?.value, d.strength?.unit);
    compare(`drugs/${d.key}/dose`, `${d.name}, ${words.dose}`, sameUnit(old?.dose, d.dose), d.dose?.value, d.dose?.unit);
    compare(`drugs/${d.key}/volume`, `${d.name}, ${words.volume}`, old?.volume, d.volume, "mL");
  }
  return out;
}

/** Numbers in different units cannot be compared; the change of the unit is shown among the changes. */
function sameUnit(was: { value?: string; unit?: string } | undefined, now: { unit?: string } | undefined): string | undefined {
  return was?.unit === now?.unit ? was?.value : undefined;
}

function withUnit(value: string, unit: string): string {
  return unit ? `${value}\u00a0${unit}` : value;
}
