import type { textDevice as source } from "../../text-device";
import type { In } from "../in";
import { said } from "../said";

const moreTries = (n: number): string => `Noch ${n} ${n === 1 ? "Versuch" : "Versuche"}`;

export const textDevice: In<typeof source> = {
  storageClosed:
    "Der Speicher dieses Geräts antwortet nicht mehr. Hier kann nichts mehr gesichert werden, bis die Seite neu geladen ist. Schon gesicherte Änderungen sind noch auf dem Gerät.",
  storageSlow:
    "Der Speicher dieses Geräts antwortet nicht. Andere Tabs dieses Programms schließen, dann diese Seite neu laden.",
  storageBlocked: "Ein anderer Tab dieses Programms ist noch in einem älteren Stand offen. Ihn schließen, dann geht es hier weiter.",
  storageNewer: "Ein neuerer Stand dieses Programms ist in einem anderen Tab offen. Diese Seite neu laden, um hier weiterzumachen.",
  storageMissing:
    "Dieser Browser gibt dieser Seite keinen Speicher (ein privates Fenster, oder der Speicher ist abgeschaltet). Karten können hier nicht gesichert werden: ein gewöhnliches Fenster benutzen.",
  storageFull: "Nicht gesichert: der Speicher dieses Geräts ist voll. Platz schaffen, dann noch einmal sichern.",
  tooLarge: "Nicht gesichert: dies ist zu groß zum Senden. Etwas wegnehmen, dann noch einmal sichern.",
  notWritten: "Nicht gesichert: der Speicher dieses Geräts hat es abgelehnt. Die Seite neu laden und die Änderung wiederholen.",

  coreMissing:
    "Nicht gesichert: der Teil, der Karten prüft, ist auf diesem Gerät nicht geladen. Lesen geht; zum Bearbeiten einmal mit dem Server verbinden und die Seite neu laden.",
  coreSlow: "Nicht gesichert: die Prüfung wurde nicht fertig. Noch einmal versuchen.",
  coreBroke: "Die Prüfung brach unerwartet ab und wurde neu gestartet. Nichts wurde gesichert: noch einmal versuchen.",
  problems: "Nicht gesichert: dies muss zuerst berichtigt werden.",
  nobody: "Nicht gesichert: zuerst sagen, wer Sie sind.",
  notEnrolled: "Nicht gesichert: die Leitung hat dieses Gerät noch nicht aufgenommen.",
  revoked: "Nicht gesichert: dieses Gerät wurde außer Betrieb genommen.",
  notSignedIn: "Nicht gesichert: niemand hat sich angemeldet. Was Sie geschrieben haben, ist noch hier.",
  notAllowed: (name) => `Nicht gesichert: was ${name} in dieser Abteilung tut, schließt dies nicht ein. Die Leitung sagt, wer was tut.`,

  triesLeft: (n) => `${moreTries(n)}.`,
  wrongPin: (n) => `Das ist nicht die PIN. ${moreTries(n)}, bis diese Person auf diesem Gerät gesperrt ist.`,
  notOpened: {
    none: "Der Server ist nicht erreicht, und diese Person hat sich auf diesem Gerät noch nicht angemeldet. Einmal mit dem Server verbinden, dann anmelden.",
    locked: "Zu viele falsche PINs: diese Person ist auf diesem Gerät gesperrt, bis es den Server erreicht. Lesen geht weiter.",
    away: "Dieses Gerät hat den Server seit drei Tagen nicht erreicht. Bis es ihn erreicht, kann sich niemand darauf anmelden. Lesen geht weiter.",
  },
  keyNotRegistered: "Sie sind angemeldet, aber dieses Gerät konnte keinen Schlüssel für Ihre Änderungen registrieren. Noch einmal versuchen.",
  missingCard: (id) => `Auf diesem Gerät gibt es keine Karte namens „${id}“. Eine andere Karte wählen oder zuerst vom Server lesen.`,
  missingRules: "Die Hausregeln sind noch nicht auf diesem Gerät. Einmal mit dem Server verbinden, dann das Blatt erstellen.",

  newDocument: "Neu",

  revisionOffline: (rev) => `Fassung ${rev} wurde auf diesem Gerät nicht gelesen. Mit dem Server verbinden, um sie zu lesen.`,
  revisionRefused: (rev) => `Der Server hat Fassung ${rev} nicht gegeben.`,

  damaged: "Ein Teil der Daten des Servers ist beschädigt. Dieses Gerät zeigt davon nichts oder das, was es vor dem Schaden gelesen hat. Sagen Sie es der Person, die den Server betreut.",

  otherEpoch: "Der Server wurde aus einer älteren Kopie wiederhergestellt. Dies wird gesendet, sobald das Gerät ihn neu gelesen hat.",
  offeredAgain: "Der Server wurde aus einer älteren Kopie wiederhergestellt und hat dies verloren. Es wird noch einmal gesendet.",

  fileNotOurs: "Nichts wurde übernommen: dies ist keine Datei wartender Änderungen, wie die Ansicht „Wartend“ eines anderen Geräts sie speichert.",
  fileEdit: (n, wrong) => `Nichts wurde übernommen: Änderung ${n} der Datei ${said(wrong)}. Auf dem anderen Gerät noch einmal speichern.`,
  fileNoEdit: "ist keine Änderung",
  fileWrong: (field) => `hat kein richtiges „${field}“`,
  fileExtra: (field) => `hat „${field}“, was keine Änderung hat`,
  fileOtherEpoch:
    "Nichts wurde übernommen: die Datei gehört zu einem anderen Stand des Servers. Dieses Gerät zuerst vom Server lesen lassen oder ein Gerät benutzen, das hier war, bevor der Server wiederhergestellt wurde.",
  fromFile: "Aus der Datei eines anderen Geräts übernommen",

  notReached: "Der Server wurde nicht erreicht.",
  busy: "Der Server war beschäftigt und bat zu warten.",
  unavailable: "Der Server konnte es nicht sichern und bat, es später noch einmal zu senden.",
  strangeAnswer: "Etwas anderes als der Server hat geantwortet.",

  passkeyStopped: "Das Telefon hat nicht mit einem Passkey geantwortet. Noch einmal versuchen oder mit der PIN anmelden.",
  came: {
    "signed-in": "Sie sind angemeldet.",
    linked: "Verbunden. Nächstes Mal lässt das Single Sign-on des Krankenhauses Sie ein.",
    "not-signed-in": "Das Single Sign-on hat niemanden eingelassen. Neu beginnen oder mit der PIN anmelden.",
    "not-linked": "Dieses Sign-on ist mit keiner Person der Abteilung verbunden oder mit jemand anderem. Mit der PIN anmelden und es hier zuerst verbinden oder die Leitung fragen.",
    "not-reached": "Das Single Sign-on des Krankenhauses hat nicht geantwortet. Mit der PIN anmelden.",
  },
};
