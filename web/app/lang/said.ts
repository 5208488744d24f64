// Words that reach the screen in English from elsewhere (the core, the server, the starter rule book) in the language of this device.
// For showing and speaking only: what is stored, sent or given to the core stays as it came.

import { signal, type ReadonlySignal } from "@preact/signals";

/** How a language reads: what Intl calls it, and its decimal mark. */
export interface Tongue {
  locale: string;
  decimal: "." | ",";
}

let inLanguage: (english: string) => string = (english) => english;
let inFigures = inLanguage;
let wholly: Promise<void> = Promise.resolve();
const spoken = signal<Tongue>({ locale: "en-GB", decimal: "." });

/** The language that the screens are in. */
export const tongue: ReadonlySignal<Tongue> = spoken;

/** The text in the language of this device; itself where it is in none of the catalogues, as what people wrote is. */
export const said = (english: string): string => inLanguage(english);

/** The text as a voice is to say it: in the language of this device, with its decimal mark, just as it is drawn. */
export const aloud = (english: string): string => inFigures(english);

/** Resolves when the words of the desk's screens are there too, or have been waited for long enough. */
export const deskWords = (): Promise<void> => wholly;

/** Takes the catalogue of another language than English, and what is read behind it; called once, before the first screen is drawn. */
export function speak(look: (english: string) => string, show: (english: string) => string, as: Tongue, behind: Promise<void>): void {
  inLanguage = look;
  inFigures = show;
  spoken.value = as;
  wholly = behind;
}
