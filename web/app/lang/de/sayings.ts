// Small words of grammar that the German catalogues of work share.

import { said } from "../said";

/** "1 Zeile", "3 Zeilen" */
export const plural = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** A word of the program that may stand with a capital at its start ("Team brief", "Reader"), while the pairs hold it as it is within a sentence. */
export function named(english: string): string {
  const whole = said(english);
  if (whole !== english) return whole;
  const small = english.charAt(0).toLowerCase() + english.slice(1);
  const german = said(small);
  return german === small ? english : german.charAt(0).toUpperCase() + german.slice(1);
}

/** Several words joined by commas: as a whole where the whole is known, else each by itself ("60 %, linear"; "latex, iodine"). */
export function listed(english: string): string {
  const whole = said(english);
  return whole === english ? english.split(", ").map(said).join(", ") : whole;
}

/** Who does something, with the verb in the number that the German asks for: "Operateur antwortet", but "alle antworten". */
export function does(who: string, one: string, many: string): string {
  const german = named(who);
  return `${german} ${german.toLowerCase() === "alle" ? many : one}`;
}
