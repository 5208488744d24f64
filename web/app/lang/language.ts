// Which language this device shows, and how it gets there. English is in the
// program; another language is a file of its own, read before the first screen is drawn.

import { signal, type ReadonlySignal } from "@preact/signals";
import { language } from "../signals";

/** The languages, each called as those who read it call it. */
export const languages = { en: "English", de: "Deutsch" } as const;

export type Language = keyof typeof languages;

/** Where nobody has chosen, the first language of the browser decides. */
export function firstLanguage(wanted: readonly string[]): Language {
  return /^de(-|$)/i.test(wanted[0] ?? "") ? "de" : "en";
}

/** What was read from the storage as a language; null: nobody has chosen one that there is. */
export function asLanguage(stored: unknown): Language | null {
  return typeof stored === "string" && stored in languages ? (stored as Language) : null;
}

export function ownLanguage(): Language {
  return language.value ?? firstLanguage(navigator.languages ?? [navigator.language]);
}

const missing = signal(false);

/** The language of this device could not be read, so that the screens are in English. */
export const languageMissing: ReadonlySignal<boolean> = missing;

/** Puts the language of this device in place. English waits for nothing. */
export async function putLanguage(): Promise<void> {
  if (ownLanguage() === "en") return;
  try {
    (await import("./de/index")).put();
    document.documentElement.lang = "de";
  } catch (error) {
    console.error("read the language of this device:", error);
    missing.value = true;
  }
}
