import type { textPin as source } from "../../text-pin";
import type { In } from "../in";

export const textPin: In<typeof source> = {
  title: "Wer bearbeitet?",
  lead: "Eine Änderung trägt den Namen der angemeldeten Person. Lesen braucht niemanden: Karten, Blätter, Pausen und Notfallabläufe öffnen sich ohne PIN.",
  leadShared: "Dieses Gerät wird von mehreren Personen benutzt: nach fünf Minuten ohne Berührung sperrt es sich selbst. Was gerade geschrieben wurde, bleibt.",
  leadOwn: "Auf diesem Gerät bleiben Sie zwölf Stunden angemeldet.",
  choose: "Ihren Namen antippen",
  nobodyKnown: "Auf diesem Gerät wurden noch keine Personen gelesen. Einmal mit dem Server verbinden.",
  invented: "erfunden",

  editingAs: (name) => `Bearbeitet als ${name}`,
  checkedHere: "Dieses Gerät hat die PIN selbst geprüft, ohne den Server. Jetzt gemachte Änderungen sind so gekennzeichnet.",
  signOut: "Abmelden",
  signedOut: "Jetzt ist niemand angemeldet. Was auf das Senden wartet, bleibt auf diesem Gerät.",
  goOn: "Weiter",

  pin: "PIN",
  pinOf: (name) => `PIN von ${name}`,
  six: "Sechs Ziffern, wie die Leitung sie übergeben hat. Wer seine PIN verloren hat, bittet um eine andere.",
  digit: (n) => String(n),
  remove: "Die letzte Ziffer wegnehmen",
  digitsTyped: (n) => `${n} von 6 Ziffern`,
  checking: "Die PIN wird geprüft …",
  back: "Zurück zu den Namen",
  again: (seconds) => `${seconds < 120 ? `${seconds} ${seconds === 1 ? "Sekunde" : "Sekunden"}` : `${Math.ceil(seconds / 60)} Minuten`} warten, dann noch einmal versuchen.`,
  broke: "Der Speicher dieses Geräts hat nicht geantwortet. Die Seite neu laden, dann anmelden.",

  otherWays: "Andere Wege zur Anmeldung",
  byPasskey: "Mit dem Passkey dieses Telefons anmelden",
  bySignOn: "Beim Single Sign-on des Krankenhauses anmelden",
  nextTime: "Nächstes Mal ohne die PIN",
  nextTimeWhy: "Die PIN bleibt gültig und wird gebraucht, solange der Server nicht erreicht ist.",
  addPasskey: "Einen Passkey auf diesem Telefon erstellen",
  linkSignOn: "Single Sign-on des Krankenhauses verbinden",
  signInAgain: "Noch einmal anmelden",
  passkeyAdded: "Der Passkey ist gesichert. Nächstes Mal kann dieses Telefon Sie einlassen.",

  toKeep: "Ihre PIN, um dies zu sichern",
  toKeepWhy: "Dieses Gerät ist gesperrt. Die Änderung wird unter dem Namen der Person gesichert, die sich jetzt anmeldet.",
  cancel: "Jetzt nicht sichern",
  notMe: "Ich bin jemand anderes",
};
