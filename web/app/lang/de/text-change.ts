import type { In } from "../in";
import type { textChange as source } from "../../text-change";
import { said } from "../said";

export const textChange: In<typeof source> = {
  title: (phase, label) => `${said(phase)}: ${said(label)}`,
  onCard: "Auf der Karte",
  becomes: "Neu",
  gone: "Dieser Wert steht nicht mehr auf der Karte.",
  close: "Schließen",
  empty: "Noch zu tun: der neue Wert. Um ihn von der Karte zu nehmen, den Editor öffnen.",
  others: "Sie haben auf diesem Gerät andere Änderungen dieser Karte begonnen und nicht gesichert. Sie werden zusammen angesehen und gesichert.",
  toEditor: "Editor öffnen",
  inQuestion: "Zwei Personen haben diese Phase verschieden geändert. Beide Werte stehen hier, bis der Eigner auf der Karte entscheidet; bis dahin gilt der erste.",
  proposed: (who, value) => `${who} schlägt ${said(value)} vor. Der Vorschlag wartet auf eine Antwort.`,
  youProposed: (value, owner) => `Sie haben ${said(value)} vorgeschlagen. Der Vorschlag wartet auf ${owner}.`,
  proposedAway: "das Wegnehmen",
  toProposals: "Offene Vorschläge",
  reason: "Grund, in einer Zeile (darf leer bleiben)",
  keep: "Änderung sichern",
  propose: "Als Vorschlag sichern",
  working: "Der Teil, der eine Änderung prüft, hat noch nicht geantwortet. Vorher kann nichts gesichert werden.",
  stays: "Nicht gesichert. Was Sie geschrieben haben, bleibt hier; den Wert antippen, um weiterzumachen.",
  lost: "Nicht gesichert, und was Sie geschrieben haben, ist verloren: Dieser Browser speichert keine Entwürfe.",
  kept: (what) => `Auf diesem Gerät gesichert. ${said(what)}`,
  undone: "Die Änderung davor wurde zurückgenommen.",
  undoneKept: (value) => `Zurückgenommen. Es ist wieder ${said(value)}, auf diesem Gerät gesichert.`,
  undoneNot: "Nicht zurückgenommen: Der Wert hat sich seitdem geändert.",
  undoneOther: "Nicht zurückgenommen: An diesem Gerät ist jetzt jemand anderes.",
};
