import type { In } from "../in";
import type { textCompare as source } from "../../text-compare";
import { said } from "../said";
import { plural } from "./sayings";

export const textCompare: In<typeof source> = {
  title: "Vergleichen",
  choose: (card) => `Vergleichen: ${card}`,
  chooseLead: "Die andere wählen. Beim Vergleichen wird nichts geändert.",
  ownRevisions: "Mit einer älteren Fassung dieser Karte",
  noRevisions: "Es gibt keine ältere Fassung.",
  otherCards: "Mit einer anderen Karte",
  noCards: "Auf diesem Gerät ist keine andere Karte.",
  sameTechnique: "gleiche Technik",
  another: "Mit einer anderen vergleichen",
  swap: "Seiten tauschen",
  toNow: "Mit jetzt vergleichen",
  withNow: (rev) => `Mit jetzt vergleichen: Fassung ${rev}`,

  here: "Hier",
  there: "Dort",
  whose: (owner, technique) => `${owner}, ${said(technique)}`,
  which: "Fassung",
  now: (rev) => (rev > 0 ? `Fassung ${rev}, gilt jetzt` : "noch nicht auf dem Server, gilt jetzt"),
  waits: "mit den Änderungen, die auf diesem Gerät warten",
  older: (rev, when) => `Fassung ${rev}, ${when}`,
  startOwn: "Damit eine eigene Karte beginnen",
  missing: "Die andere Karte ist nicht auf diesem Gerät.",
  noView: "Diese Fassung kann hier nicht gezeigt werden.",

  counts: (differ, same) => `${plural(differ, "Unterschied", "Unterschiede")}, ${same} gleich`,
  alike: "Nichts unterscheidet sich.",
  same: (n) => `${n} gleich`,
  sameIn: (where, n) => `${said(where)}: ${n} gleich`,
  differs: "verschieden",
  onlyHere: "nur hier",
  onlyThere: "nur dort",
  notThere: "nicht angegeben",

  questions: (n, side) => `${said(side)}: ${plural(n, "offene Rückfrage", "offene Rückfragen")}. Wo eine offen ist, stehen unten beide Werte; niemand hat entschieden.`,
  otherMachine: (here, there) => `Die Grenzwerte wurden für ${said(here)} und für ${said(there)} geschrieben. Eine Zahl von einem Phakogerät gehört nicht auf ein anderes.`,
  noMachine: "ein nicht genanntes Phakogerät",
  limitsNote: "Ein Grenzwert gehört zu einem Operateur und einem Phakogerät. Nichts hier sagt, welcher besser ist.",

  twoValues: (one, other) => `Zwei Werte, nicht geklärt: ${said(one)}\noder: ${said(other)}`,
  nothing: "nichts",

  card: "Karte",
  titleOf: "Titel",
  owner: "Eigner",
  technique: "Technik",
  review: "Wieder ansehen am",
  order: "Reihenfolge",
  name: "Name",
  note: "Notiz",
  limits: "Grenzwerte",
  paragraph: "Absatz",
  place: (where) => `Ort: ${said(where)}`,
};
