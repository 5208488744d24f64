import type { Card, Problem } from "../../generated/types";
import { textUnit } from "../../text-unit";
import { TriggersPart } from "../edit/steps";
import { keyWords, type FaceProps } from "./book";

/** The unit's own drills, written with the same form as a card's. */
export function DrillsFace({ book, set, problems }: FaceProps) {
  const here: Problem[] = problems.filter((p) => p.path.startsWith("drills/")).map((p) => ({ ...p, path: p.path.replace("drills/", "triggers/") }));
  return (
    <>
      <p class="quiet">{textUnit.drills.lead}</p>
      <TriggersPart card={asCard(book)} base={null} view={undefined} problems={here} set={({ triggers }) => { if (triggers) set({ drills: triggers }); }} />
    </>
  );
}

/** The drills as a card that has ready whatever a rule lays out or a drill opens. */
function asCard(book: FaceProps["book"]): Card {
  const named = new Map<string, string>();
  for (const d of book.drills ?? []) for (const key of d.open ?? []) named.set(key, keyWords(key));
  for (const r of book.rules) for (const a of r.do ?? []) if (a.item) named.set(a.item.key, a.item.name);
  const items = [...named].map(([key, name]) => ({ key, name, kind: "consumable" as const, quantity: 1, state: "have ready" as const }));
  return { id: "", title: "", technique: "unit's own", owner: "", basics: {}, machine: {}, items, triggers: book.drills ?? [] };
}
