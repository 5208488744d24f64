import { unbroken } from "../parts";

export { unbroken };

/** What a side of an open question holds, one value a line, so that two sides can be compared by eye. */
export function sideText(text: string): string {
  return unbroken(text).replaceAll("; ", "\n");
}

/** The text with a capital at its start. */
export function sentence(s: string): string {
  return s.charAt(0).toUpperCase() + s.slice(1);
}
