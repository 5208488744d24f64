// Which language this device shows, and how it gets there. English is in the
// program; another language is a file of its own, read before the first screen is drawn.

import { signal, type ReadonlySignal } from "@preact/signals";
import { inTime } from "../intime";
import { enrolled, language, storage } from "../signals";

/** The languages, each called as those who read it call it. */
export const languages = { en: "English", de: "Deutsch" } as const;

export type Language = keyof typeof languages;

/** Where nobody has chosen, the first language of the browser decides. */
export function firstLanguage(wanted: readonly string[]): Language {
  return /^de(-|$)/i.test(wanted[0] ?? "") ? "de" : "en";
}

/** What was read from the storage as a language; null: nobody has chosen one that there is. */
export function asLanguage(stored: unknown): Language | null {
  return typeof stored === "string" && Object.hasOwn(languages, stored) ? (stored as Language) : null;
}

/**
 * A device that is at work, or that cannot tell, stays in English until somebody chooses: nobody of the trade has read the
 * translation. On one that was not let in yet the choice stands on the first screen.
 */
export function ownLanguage(): Language {
  if (language.value) return language.value;
  return enrolled.value || storage.value.state === "blocked" ? "en" : firstLanguage(navigator.languages ?? [navigator.language]);
}

let inPlace: Language = "en";

/** The language that the screens are in, which is not the device's own where that could not be read. */
export const languageInPlace = (): Language => inPlace;

const missing = signal(false);

/** The language of this device could not be read, so that the screens are in English. */
export const languageMissing: ReadonlySignal<boolean> = missing;

const patience = 4_000;
const german = (): Promise<{ put: () => void }> => import("./de/index");

/** Puts the language of this device in place. English waits for nothing; what comes too late is not put in place, so that no screen is half in each. */
export async function putLanguage(read = german, millis = patience): Promise<void> {
  if (ownLanguage() === "en") return;
  try {
    (await inTime(read(), millis)).put();
    inPlace = "de";
    document.documentElement.lang = "de";
  } catch (error) {
    console.error("read the language of this device:", error);
    missing.value = true;
  }
}
