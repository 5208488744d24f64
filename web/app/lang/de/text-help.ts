import type { textHelp as source } from "../../text-help";
import type { In } from "../in";

export const textHelp: In<typeof source> = {
  title: "Hilfe",
  forScreen: "Hilfe zu dieser Ansicht",
  about: "Wie man damit arbeitet",
  back: "Die ganze Hilfe",
  missing: "Diese Seite gibt es in der Hilfe nicht",

  first: {
    region: "Erste Schritte",
    more: "Mehr lesen",
    away: "Weglegen",
    nobody: {
      title: "Zum ersten Mal hier?",
      steps: ["Lesen braucht keinen Namen. Bevor Sie etwas ändern, an der letzten Stelle des Menüs Ihren Namen wählen.", "Oben auf dem Bildschirm steht, wie alt die Daten sind."],
      page: "",
    },
    roles: {
      scrub: {
        title: "Erste Schritte für Instrumentierende",
        steps: ["Einen Fall drücken und sein Blatt erstellen.", "Eine ganze Zeile berühren, um sie abzuhaken; Besonderes steht zuerst.", "„Wenn…“ auf dem Blatt sagt, wer was tut, wenn etwas schiefgeht."],
        page: "scrub-nurse",
      },
      surgeon: {
        title: "Erste Schritte für Operateure",
        steps: ["Ihre eigenen Karten stehen zuerst: hier auf Ihrem eigenen Telefon und unter Karten.", "Ein Wert: die Zahl auf der Karte antippen, die neue schreiben, sichern.", "Wo zwei Personen verschiedene Werte geschrieben haben, klären Sie, welcher gilt."],
        page: "surgeon",
      },
      reader: {
        title: "Erste Schritte für Vorleser",
        steps: ["Einen Fall öffnen und Vorlesen wählen.", "Eine Zeile vorlesen, auf einen Wert warten, dann die Antwort drücken.", "Ein gespeicherter Wert erscheint erst nach der Antwort."],
        page: "reading-aloud",
      },
      "unit lead": {
        title: "Erste Schritte für die Leitung",
        steps: ["Die Personen der Abteilung hinzufügen und jeder eine PIN ausgeben.", "Für jedes Tablet und Telefon einen Code erstellen und es aufnehmen.", "Unter Hausregeln jede Regel des Startbestands lesen, bevor die Abteilung sich darauf verlässt.", "Unter Wartend ansehen, was beiseitegelegt wurde.", "Dem Team sagen, was das Tablet nicht tut."],
        links: [{ label: "Personen und PINs", href: "/office/people" }, { label: "Geräte", href: "/office/devices" }],
        page: "unit-lead",
      },
    },
  },
};
