import type { In } from "../in";
import type { textList as source } from "../../text-list";
import { said } from "../said";
import { does, plural } from "./sayings";

/** "1, 3 und 5" */
const numbers = (list: readonly number[]): string => {
  const last = list[list.length - 1];
  return list.length < 2 ? `${last ?? ""}` : `${list.slice(0, -1).join(", ")} und ${last}`;
};

/** "Fälle 1, 3 und 5" */
const cases = (list: readonly number[]): string => `${list.length < 2 ? "Fall" : "Fälle"} ${numbers(list)}`;

/** "der Fälle 1, 3 und 5" */
const ofCases = (list: readonly number[]): string => `${list.length < 2 ? "von Fall" : "der Fälle"} ${numbers(list)}`;

export const textList: In<typeof source> = {
  title: "Ganze Liste",
  // A soft hyphen: three tabs share the width of a phone.
  faces: { setup: "Aufbau", brief: "Team\u00adbesprechung", order: "Reihen\u00adfolge" },
  facesLabel: "Teile der Liste",
  listOf: (day) => `Liste vom ${day}`,
  none: "Für diesen Tag gibt es auf diesem Gerät keine Liste.",
  cases,

  sheets: {
    making: "Die Blätter der Fälle, die noch keines haben, werden angesehen…",
    inUse: (list) => `Aus den Blättern in Gebrauch: ${cases(list)}.`,
    wouldBe: (list) => `Wie ein jetzt erstelltes Blatt sagen würde: ${cases(list)}.`,
    newer: (list) => `Es gibt Neueres als das Blatt in Gebrauch: ${cases(list)}. Gezählt wird, was in Gebrauch ist.`,
    missing: (position, why) => `Fall ${position} ist nicht gezählt: ${said(why)}`,
    coreFailed: "sein Blatt ist nicht erstellt, und der Teil, der Blätter erstellt, konnte nicht starten.",
    unsettled: (position) => `Die Angaben zu Fall ${position} haben zwei Antworten, nicht geklärt: was er braucht, kann anders sein.`,
  },

  setup: {
    summary: (n, of, all) => `${plural(n, "Teil", "Teile")} für ${plural(of, "Fall", "Fälle")}${of < all ? ` von ${all}` : ""}`,
    compete: "Mehr als ein Fall verlangt diese",
    competeLead: "Manche Fälle verlangen sie und andere nicht. Sind es genug, und kommen sie rechtzeitig zurück?",
    inARow: "zwei davon hintereinander",
    lenses: "Linsen",
    lensFor: (list) => `Linse ${ofCases(list)}`,
    spareFor: (list) => `Reserve ${ofCases(list)}`,
    boxes: (n) => plural(n, "Box", "Boxen"),
    lensLead: "Wie es in den Angaben zu jedem Fall steht. Modell, Linsenstärke und Auge werden bei der Linsenprüfung von der Box und vom Plan abgelesen.",
    ready: "Im Saal, ungeöffnet, und für wen",
    open: "Auf dem Tisch geöffnet",
    kinds: { implant: "Implantate", instrument: "Instrumente", consumable: "Verbrauchsmaterial", fluid: "Flüssigkeiten", drug: "Medikamente" },
    number: (n) => `${n} ×`,
    each: (n) => (n === 1 ? "jeder Fall" : `jeder Fall, je ${n}`),
    share: (position, quantity) => (quantity === 1 ? `Fall ${position}` : `Fall ${position}: ${quantity}`),
    special: "besonders",
    asked: (list) => `nicht geklärt in ${list.length < 2 ? "Fall" : "den Fällen"} ${numbers(list)}`,
    note: "Aus den Blättern zusammengezählt. Was verbraucht, defekt oder weg ist, ist hier nicht bekannt: zählen, was da ist.",
  },

  brief: {
    once: "Einmal für die ganze Liste",
    lead: "Vorzulesen, bevor die Liste beginnt. Antworten werden unter „Vorlesen“ bei jedem Fall aufgeschrieben, nicht hier.",
    again: "Ändert sich die Reihenfolge, wird die Teambesprechung neu gemacht.",
    place: (n, of) => `${n} von ${of}`,
    previous: "Zurück",
    next: "Weiter",
    case: (n) => `Fall ${n}`,
    asks: (ask, answer) => `${does(ask, "fragt", "fragen")}, ${does(answer, "antwortet", "antworten")}`,
    expect: "Erwartet",
    stored: "Gespeichert",
    unknown: "Nicht bekannt, daher wird es erfragt",
    note: "Notiz",
    nothing: "Zu diesem Fall ist nichts Besonderes bekannt.",
    noSheet: "Für diesen Fall kann kein Blatt gezeigt werden: seine Angaben lesen.",
    mayGoDark: "Der Bildschirm kann dunkel werden: dieses Gerät lässt ihn nicht an. Ab und zu berühren.",
    eyeMissing: "Auge nicht angegeben",
    eyeOpen: "welches Auge: nicht geklärt",
  },

  order: {
    lead: "Die Reihenfolge wird gesichert, wenn Sie es sagen. Jeder Fall behält seine Angaben, sein Blatt, seine Haken und seine Antworten; nur sein Platz ändert sich.",
    up: (position) => `Fall ${position}: eins nach oben`,
    down: (position) => `Fall ${position}: eins nach unten`,
    was: (position) => `war ${position}`,
    keep: "Diese Reihenfolge sichern",
    back: "Wie vorher",
    keeping: "Wird gesichert…",
    nothing: "Noch ist nichts verschoben.",
    reason: "Reihenfolge der Liste geändert",
    kept: "Die Reihenfolge ist auf diesem Gerät gesichert. Es ist eine neue Teambesprechung.",
    sheets: "Blätter in Gebrauch zeigen ihren alten Platz, bis sie neu erstellt werden, und sagen es. Haken und Antworten, die noch passen, bleiben.",
    whoFirst: "Den eigenen Namen wählen, dann zur Reihenfolge zurückkommen.",
    notKept: "Die Reihenfolge wurde nicht ganz gesichert. Die Liste zeigt, was gesichert wurde.",
  },
};
