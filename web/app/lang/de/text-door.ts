import type { textDoor as source } from "../../text-door";
import type { In } from "../in";
import { plural } from "./sayings";

export const textDoor: In<typeof source> = {
  code: "Code",
  codeStray: (sign) => `Kein Code enthält „${sign}“. Noch einmal nachsehen.`,
  codeShort: "Ein Code hat acht Zeichen, zum Beispiel 4K7M-92XD.",
  again: (seconds) => `Wieder in ${seconds} s`,
  lost: "Der Server wurde nicht erreicht, oder etwas anderes hat geantwortet. Dieses Gerät mit dem Netz der Abteilung verbinden und noch einmal versuchen.",
  notRemembered: "Der Speicher dieses Geräts hat es abgelehnt. Diese Seite neu laden; das Gerät ist schon aufgenommen.",
  once: "Jetzt aufschreiben",
  notIn: "Nicht aufgenommen",
  notSetUp: "Nicht eingerichtet",
  device: "Name dieses Geräts",
  deviceHint: "So, wie Personen der Abteilung danach suchen würden, zum Beispiel „Tablet Saal 2“. Niemals der Name eines Patienten.",
  whose: "Wessen Gerät ist es?",
  kinds: {
    shared: { label: "Gemeinsam", hint: "Mehrere Personen benutzen es. Wer schreibt, meldet sich mit einer PIN an; es sperrt sich nach 5 Minuten." },
    personal: { label: "Gehört einer Person", hint: "Ein Telefon oder Rechner, den eine Person bei sich hat. Es bleibt bis zu 12 Stunden entsperrt." },
  },

  enrol: {
    title: "Dieses Gerät aufnehmen",
    lead: "Karten und Blätter werden auf Geräten gelesen, die die Leitung aufgenommen hat. Dieses ist es nicht oder nicht mehr.",
    means: [
      "Die Leitung erstellt einen Code unter „Büro“, „Geräte“. Er gilt 10 Minuten und wirkt einmal.",
      "Von da an zeigt dieses Gerät die Karten der Abteilung, mit oder ohne Netz. Es behält eine Kopie davon.",
      "Lesen braucht keinen Namen. Wer etwas ändert, meldet sich zuerst an.",
    ],
    came: "Der Code kam mit der Adresse. Unten drücken, um dieses Gerät aufzunehmen.",
    hint: "Kleinbuchstaben und ein fehlender Bindestrich schaden nicht.",
    go: "Dieses Gerät aufnehmen",
    away: "Der Server wurde nicht erreicht. Dieses Gerät braucht das Netz der Abteilung, um aufgenommen zu werden.",
    tryAgain: "Server noch einmal suchen",
    done: (name) => `Dieses Gerät ist aufgenommen als „${name}“.`,
    already: (name) => `Dieses Gerät ist schon aufgenommen, als „${name}“. Mit einem anderen Code wird es ein anderes Gerät, und wer darauf angemeldet ist, wird abgemeldet.`,
    revoked: "Die Leitung hat dieses Gerät außer Betrieb genommen. Es zeigt keine Karten mehr, und seine Kopie davon wurde entfernt, samt dem, was darauf gerade geschrieben wurde.",
    forked: "Zwei Geräte haben den Namen dieses Geräts benutzt, wie es geschieht, wenn ein Gerät kopiert oder aus einer Kopie zurückgesetzt wird. Darum liest es nichts, bis es neu aufgenommen ist.",
    still: (n) => `${plural(n, "Änderung", "Änderungen")}, darauf gemacht und noch nicht auf dem Server: hier aufbewahrt und weiterhin gesendet. Die Leitung liest sie und entscheidet.`,
    demo: "Dies ist eine Demonstration mit einer erfundenen Abteilung. Ohne Code ausprobieren:",
    demoShared: "Als Tablet des Saals",
    demoPersonal: "Als Telefon eines Operateurs",
  },

  setup: {
    title: "Diesen Server einrichten",
    lead: "Auf diesem Server ist noch nichts. Wer ihn einrichtet, wird Leitung und nimmt alle anderen Personen und Geräte auf.",
    code: "Einrichtungscode",
    codeHint: "Der Server hat ihn beim Start ausgegeben. Jeder Start erstellt einen anderen.",
    unit: "Name der Augenabteilung",
    name: "Ihr Name",
    nameHint: "So, wie die Kollegen ihn sagen, zum Beispiel Vorname und Nachname.",
    go: "Einrichten",
    needed: "Zuerst eintragen.",
    needKind: "Eines wählen.",
    pinTitle: "Ihre PIN",
    pinLead: "Mit dieser PIN melden Sie sich an. Sie wird dieses eine Mal gezeigt: der Server behält nichts, woraus jemand sie wieder lesen könnte.",
    pinKeep: "Auf Papier schreiben, das nur Sie haben. Niemand sonst darf sie kennen: was damit signiert ist, steht unter Ihrem Namen.",
    pinDone: "Ich habe sie aufgeschrieben",
    pinNext: "Als Nächstes melden Sie sich mit ihr an, einmal, damit Sie wissen, dass Sie sie richtig haben.",
    second: "Danach eine zweite Person zur Leitung machen. Verliert eine von zweien die PIN, gibt die andere eine neue aus.",
  },
};
