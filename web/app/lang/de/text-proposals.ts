import type { textProposals as source } from "../../text-proposals";
import type { In } from "../in";
import { said } from "../said";
import { plural } from "./sayings";

const waiting = (n: number): string => plural(n, "Vorschlag wartet", "Vorschläge warten");

export const textProposals: In<typeof source> = {
  title: "Vorschläge",
  titleOf: (card) => `Vorschläge: ${card}`,
  waits: (n) => `${waiting(n)} auf den Eigner`,
  waitsForYou: (n) => `${waiting(n)} auf Ihre Antwort`,
  answeredForYou: (n) => `${plural(n, "Vorschlag", "Vorschläge")} von Ihnen ${n === 1 ? "hat" : "haben"} eine Antwort`,
  open: "Vorschläge öffnen",
  waitsHere: (n) => `${waiting(n)} auf dieser Karte auf Ihre Antwort und ${n === 1 ? "ist" : "sind"} nicht in dem, was Sie hier sehen. Was Sie jetzt sichern, beantwortet ${n === 1 ? "ihn" : "sie"} nicht.`,
  waitsOne: (who, changes) => `${who}: ${said(changes)}`,
  none: "Keine Vorschläge",
  noneWhy: "Was jemand auf einer fremden Karte ändert, steht hier, bis ihr Eigner geantwortet hat.",

  forYou: "Von Ihnen zu beantworten",
  waiting: "Wartet auf den Eigner",
  answered: "Beantwortet",
  forYouLead: "Die Karte bleibt, wie sie ist, bis Sie annehmen. Einen Vorschlag stellt niemand am Phakogerät ein.",
  waitingLead: "Die Karte bleibt, wie sie ist, bis ihr Eigner geantwortet hat. Einen Vorschlag stellt niemand am Phakogerät ein.",

  by: (who) => `Vorgeschlagen von ${who}`,
  changes: "Was er ändert",
  noChanges: "Keine Änderung in Worten.",
  reasonGiven: (reason) => `Angegebener Grund: ${said(reason)}`,
  notSent: "noch nicht auf dem Server",
  toOwner: (owner) => `Ein Vorschlag an ${owner}`,
  ownerIs: (owner) => `Wartet auf ${owner}`,
  answeredHere: "Auf diesem Gerät beantwortet; die Antwort ist unterwegs.",

  effect: "Auf der Karte, wie sie jetzt ist",
  effectNone: "Die Karte enthält all dies schon.",
  effectStays: "Mit dem, was Sie gewählt haben, bleibt die Karte, wie sie ist.",
  effectOpen: "Werte, die Sie und der Vorschlag verschieden geändert haben, sind nicht geklärt: was sie ändern, hängt von Ihrer Wahl unten ab.",
  effectWorking: "Es wird ermittelt, was er auf der Karte ändern würde…",
  effectAway: "Der Teil, der Änderungen prüft, ist nicht gestartet; darum kann die Wirkung auf die Karte nicht gezeigt werden. Die Seite neu laden, um es noch einmal zu versuchen.",
  cautionsNew: "Damit würde die Karte melden",
  bothChanged: "Sie und der Vorschlag haben dasselbe geändert. Wählen, was gilt, bevor Sie annehmen.",
  yours: (who) => `Auf der Karte, von ${who}`,
  theirs: (who) => `Vorgeschlagen von ${who}`,
  takeThis: "Dies gilt",
  taken: "Dies gilt: gewählt",
  inEditor: "Dies lässt sich nur beim Bearbeiten klären: „Ändern und annehmen“ benutzen.",
  toMend: "Damit würde die Karte ihre Prüfungen nicht bestehen. „Ändern und annehmen“ benutzen oder ablehnen.",

  accept: "Annehmen",
  acceptLook: "Den Vorschlag annehmen",
  change: "Ändern und annehmen",
  decline: "Ablehnen",
  changeOwn: "Eigenen Vorschlag ändern",
  acceptReason: (who, reason) => `Vorgeschlagen von ${who}${reason ? `: ${reason}` : ""}`,
  declineTitle: "Warum wird er abgelehnt?",
  declineAbout: (who) => `${who} wird diesen Grund lesen.`,
  declineReasons: ["Ich arbeite anders", "Nicht mit diesem Phakogerät", "Zuerst mit mir sprechen"],
  declineDone: "Mit diesem Grund ablehnen",
  declinedReason: (who) => `Einen Vorschlag von ${who} abgelehnt`,
  accepted: "Angenommen. Auf diesem Gerät gesichert.",
  declined: "Abgelehnt. Auf diesem Gerät gesichert.",

  fates: {
    accepted: "Angenommen",
    changed: "Übernommen und vom Eigner geändert",
    declined: "Abgelehnt",
    replaced: "Durch einen späteren Vorschlag ersetzt",
  },
  answeredBy: (who) => `von ${who}`,
  why: (reason) => `Grund: ${said(reason)}`,
  inRevision: (rev) => `Fassung ${rev}`,

  notYours: (owner) => `Dies ist die Karte von ${owner}. Was Sie ändern, wird als Vorschlag gesendet: die Karte bleibt, wie sie ist, bis ${owner} geantwortet hat.`,
  answering: (who) => `Sie ändern den Vorschlag von ${who}. Was Sie sichern, ist die Karte und die Antwort auf den Vorschlag.`,
  changingOwn: "Sie ändern Ihren eigenen Vorschlag. Dieser tritt an seine Stelle.",
  gone: "Dieser Vorschlag wurde inzwischen beantwortet oder ersetzt.",
  keptAsProposal: (owner) => `Auf diesem Gerät gesichert, als Vorschlag an ${owner}.`,
  newInOwnName: "Ein Operateur beginnt eine Karte im eigenen Namen. Unter Person den Operateur wählen, dann die neue Karte schreiben.",
  ownNew: (owner) => `Die neue Karte gehört ${owner}. Sie kann später übergeben werden.`,

  receipt: "Es ist die Karte von jemand anderem, also wartet Ihre Änderung als Vorschlag auf die Antwort des Eigners. Die Karte bleibt, wie sie ist.",
  receiptApplied: "Ihre Änderung ist auf dem Server. Eines ging nicht so, wie es gemeint war:",
  receiptAnswered: "Ihre Antwort hat den Server erreicht.",
  ownerDecides: (owner) => `${owner} klärt dies: die Karte gehört ${owner}.`,
  bringBack: (owner) => `Dies ist die Karte von ${owner}: das Zurückholen wird als Vorschlag gesendet.`,
};
