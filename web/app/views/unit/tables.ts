import { useEffect, useState } from "preact/hooks";
import { core } from "../../core/core";
import type { Calculation, ConfirmedRecipe, Input, Key, Parts, Table, Working } from "../../generated/types";
import { status } from "../../state";

/** A dilution recipe with its sums done, as the core gives it. */
export interface Recipe {
  id: Key;
  title: string;
  drug: string;
  note?: string;
  mark: string;
  working: Working;
  /** Who confirmed it for this unit; without it the recipe is off. */
  confirmed?: ConfirmedRecipe;
}

export interface Calculations {
  calculations: Calculation[];
  recipes: Recipe[];
}

export interface RiskTables {
  purpose: string;
  inputs: Input[];
  tables: Table[];
}

/** What the core holds and no document does; null until it has answered. */
function useFromCore<T>(name: string, input: object): T | null {
  const [got, setGot] = useState<T | null>(null);
  const failed = status.value.core === "failed";
  const asked = JSON.stringify(input);
  useEffect(() => {
    let gone = false;
    core.call<T>(name, JSON.parse(asked)).then((v) => { if (!gone) setGot(v); }, () => undefined); // the screen says that the core is not there
    return () => { gone = true; };
  }, [name, asked, failed]);
  return got;
}

export const useCalculations = (parts: Parts | undefined) => useFromCore<Calculations>("calculations", { parts: parts ?? {} });
export const useRiskTables = () => useFromCore<RiskTables>("risk_tables", {});
