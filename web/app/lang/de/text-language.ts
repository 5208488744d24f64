import type { textLanguage as source } from "../../text-language";
import type { In } from "../in";

export const textLanguage: In<typeof source> = {
  both: "Language / Sprache",
  notKept: "Die Sprache wurde nicht gemerkt: Der Speicher dieses Geräts hat es verweigert. Seite neu laden und noch einmal wählen.",
  missing: "Deutsch konnte auf diesem Gerät nicht gelesen werden, daher ist alles auf Englisch. Seite mit Netz neu laden.",
  unread: "Übersetzt, ohne dass eine Person vom Fach es gelesen hat. Im Zweifel gilt das Englische.",
  own: "Was Personen geschrieben haben, behält seine Worte; ein Dezimalpunkt darin erscheint als Komma.",
};
