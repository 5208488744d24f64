import { useEffect, useState } from "preact/hooks";
import type { Case, Sheet } from "../generated/types";
import { doc, sheetFromCase, sheetUse, status, type Doc } from "../state";
import { textList } from "../text-list";
import { newerThan } from "./newer";

/** A case of the list with the sheet that speaks for it. */
export interface OnList {
  of: Doc<Case>;
  /** The sheet in use; else what one made now would say; null while that is not known, or cannot be. */
  sheet: Sheet | null;
  inUse: boolean;
  newer: boolean;
  /** Why there is no sheet. */
  why: string | null;
}

interface Made {
  of: string;
  sheet: Sheet | null;
  why: string | null;
}

/** The sheets of a list. Nothing is taken into use here: a case without one gets a look at what it would be. */
export function useListSheets(cases: readonly Doc<Case>[]): OnList[] {
  const [made, setMade] = useState<ReadonlyMap<string, Made>>(new Map());
  const core = status.value.core;
  const wanting = cases.filter((c) => !sheetUse(c.id).value);
  const asked = wanting.map(stateOf).join("\n");
  useEffect(() => {
    if (core !== "ready") return;
    let gone = false;
    void Promise.all(wanting.map(make)).then((list) => { if (!gone) setMade(new Map(list)); });
    return () => { gone = true; };
  }, [asked, core]);
  return cases.map((of): OnList => {
    const use = sheetUse(of.id).value;
    if (use) return { of, sheet: use.sheet, inUse: true, newer: newerThan(use) !== null, why: null };
    const look = made.get(of.id);
    const now = look && look.of === stateOf(of) ? look : null; // what was made of something older says nothing
    return { of, sheet: now?.sheet ?? null, inUse: false, newer: false, why: core === "failed" ? textList.sheets.coreFailed : now?.why ?? null };
  });
}

/** How everything stands that a sheet is made from, so that it is made again when one of them changes. */
function stateOf(c: Doc<Case>): string {
  return [c, doc("card", c.body.card), doc("rules", "house")].map((d) => d && [d.id, d.epoch, d.rev, d.after].join(" ")).join(", ");
}

async function make(c: Doc<Case>): Promise<[string, Made]> {
  const of = stateOf(c);
  try {
    return [c.id, { of, sheet: await sheetFromCase(c.body), why: null }];
  } catch (error) {
    return [c.id, { of, sheet: null, why: error instanceof Error ? error.message : String(error) }];
  }
}
