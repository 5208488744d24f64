import type { Card } from "../../generated/types";
import type { Problem, View } from "../../state";

/** What every part of the editor gets: the card being written, the card it is compared with, what is wrong. */
export interface PartProps {
  card: Card;
  base: Card | null;
  set: (change: Partial<Card>) => void;
  problems: readonly Problem[];
  view: View | undefined;
}
