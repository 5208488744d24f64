import { createContext } from "preact";
import { useContext, useEffect, useState } from "preact/hooks";
import type { LargeChange } from "../../generated/types";
import { bigChanges, status, type DocKind } from "../../state";

const settleMillis = 250;

/**
 * The changes between two bodies that are asked about; the core judges them. What begins from nothing is compared with an empty one;
 * undefined until the core has answered for exactly these two.
 */
export function useBigChanges(kind: DocKind, from: unknown, to: unknown): readonly LargeChange[] | undefined {
  const [found, setFound] = useState<{ of: string; list: LargeChange[] } | null>(null);
  const of = JSON.stringify([from ?? {}, to]);
  useEffect(() => {
    let gone = false;
    const timer = setTimeout(() => {
      const [a, b] = JSON.parse(of) as [unknown, unknown];
      bigChanges(kind, a, b).then((list) => { if (!gone) setFound({ of, list }); }, () => undefined); // the shell says when the core is not there
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [kind, of, status.value.core === "ready"]);
  return found?.of === of ? found.list : undefined;
}

/** The large changes of the card being edited, for the fields they stand at. */
export const BigChanges = createContext<readonly LargeChange[]>([]);

export function useBigAt(path: string): LargeChange | undefined {
  return useContext(BigChanges).find((b) => b.path === path);
}
