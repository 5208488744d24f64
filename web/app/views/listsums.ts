// The set-up of a whole list: the lines of its cases' sheets summed. Pure, and the same in whatever order the cases come.

import type { ItemKind, Sheet, State } from "../generated/types";

export interface ListCase {
  position: number;
  sheet: Sheet;
  /** The units of the card that two people changed differently: "items/chopper", "drugs/miotic". */
  asked?: ReadonlySet<string>;
}

/** What one case wants of a thing. */
export interface Share {
  position: number;
  quantity: number;
  state: State;
  /** What this case adds to its card. */
  special: boolean;
  /** Two people changed it differently: the number may be another. */
  asked: boolean;
}

/** One thing, and who wants it. */
export interface Sum {
  key: string;
  name: string;
  /** A drug's strength and dose; things of another strength are other things. */
  text: string;
  kind: ItemKind;
  shares: Share[];
}

/** Everything that is to be laid out or to be in the room, thing by thing. Struck lines are wanted by nobody. */
export function listSums(cases: readonly ListCase[]): Sum[] {
  const sums = new Map<string, Sum>();
  for (const c of cases) for (const { key, share, ...thing } of thingsOf(c)) {
    const sum = sums.get(key) ?? { key, ...thing, shares: [] };
    // A name may be written in another way on another card: the first in the alphabet stands, whichever came first.
    const name = sum.name < thing.name ? sum.name : thing.name;
    sums.set(key, { ...sum, name, shares: [...sum.shares, share].sort(byCase) });
  }
  return [...sums.values()].sort((a, b) => order(kinds.indexOf(a.kind), kinds.indexOf(b.kind)) || order(a.key, b.key));
}

const kinds: readonly ItemKind[] = ["implant", "instrument", "consumable", "fluid", "drug"];

function order<T>(a: T, b: T): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function byCase(a: Share, b: Share): number {
  return a.position - b.position || order(a.state, b.state) || a.quantity - b.quantity || order(a.special, b.special) || order(a.asked, b.asked);
}

type Thing = Omit<Sum, "shares"> & { share: Share };

/** The lines of one sheet as things. Two cards call a thing the same when they write the same name. */
function thingsOf({ position, sheet, asked }: ListCase): Thing[] {
  const named = (kind: ItemKind, name: string, text: string) => ({ key: [kind, name, text].join("\n").toLowerCase(), kind, name, text });
  const items = sheet.setup.filter((l) => !l.struck).map((l): Thing => ({
    ...named(l.kind, l.name, ""),
    share: { position, quantity: l.quantity, state: l.state, special: Boolean(l.special), asked: Boolean(asked?.has(`items/${l.key}`)) },
  }));
  const drugs = (sheet.drugs ?? []).filter((l) => !l.struck).map((l): Thing => ({
    ...named("drug", l.name, l.text),
    share: { position, quantity: 1, state: l.state, special: Boolean(l.special), asked: Boolean(asked?.has(`drugs/${l.key}`)) },
  }));
  return [...items, ...drugs];
}

/** How many of a thing the list wants, opened at the start or ready in the room; of both without a state. */
export function total(shares: readonly Share[], state?: State): number {
  return shares.filter((s) => !state || s.state === state).reduce((n, s) => n + s.quantity, 0);
}

/** The places on the list that want a thing, each once. */
export function wantedBy(shares: readonly Share[]): number[] {
  return [...new Set(shares.map((s) => s.position))].sort((a, b) => a - b);
}

/**
 * What cases may take from one another: what two or more of them ask for and not every one does, so that it is no
 * matter of course; of consumables only what a case adds. Whether there are enough is for people to say.
 */
export function competing(sums: readonly Sum[], cases: number): Sum[] {
  return sums.filter(({ kind, shares }) => {
    const n = wantedBy(shares).length;
    const scarce = kind === "instrument" || kind === "implant" || shares.some((s) => s.special);
    return n > 1 && n < cases && scarce;
  });
}

/** Whether two of the cases follow one another, so that nothing comes back from sterilising in between. */
export function inARow(wanted: readonly number[], list: readonly number[]): boolean {
  const places = [...new Set(list)].sort((a, b) => a - b);
  return places.some((p, i) => i > 0 && wanted.includes(p) && wanted.includes(places[i - 1]!));
}

export interface LensSum {
  /** "21.5 D" */
  power: string;
  planned: number[];
  backup: number[];
}

/** The lens powers of the list: which cases plan each, and which have it as a spare. */
export function lenses(cases: readonly ListCase[]): LensSum[] {
  const sums = new Map<string, LensSum>();
  const add = (c: ListCase, factor: string, what: "planned" | "backup") => {
    const power = c.sheet.facts.find((f) => f.factor === factor)?.text;
    if (!power) return;
    const sum = sums.get(power) ?? { power, planned: [], backup: [] };
    sums.set(power, { ...sum, [what]: [...sum[what], c.position].sort((a, b) => a - b) });
  };
  for (const c of cases) {
    add(c, "lens-power", "planned");
    add(c, "backup-power", "backup");
  }
  return [...sums.values()].sort((a, b) => parseFloat(a.power) - parseFloat(b.power) || order(a.power, b.power));
}
