// German: read before the first screen, by the devices that show it. What only
// the screens of the desk say comes behind.

import { inTime } from "../../intime";
import { drawBy } from "../drawn";
import { lookUp } from "../lookup";
import { inGermanFigures } from "../numerals";
import { lay, leaves } from "../overlay";
import type { Pair } from "../pairs";
import { speak } from "../said";
import { catalogues } from "./catalogues";
import { told } from "./told";

/** Every fixed text of the catalogues with its German, as it was before that took its place. */
export const fixed: readonly Pair[] = catalogues.flatMap(({ english, german }) => {
  const words = new Map(leaves(german));
  return leaves(english).flatMap(([address, text]): Pair[] => {
    const word = words.get(address);
    return typeof text === "string" && typeof word === "string" ? [[text, word]] : [];
  });
});

/** Sentences of the catalogues that were stored, or taken up before the German was there. A few words alone mean too many things: "Sign in". */
const sentences = fixed.filter(([text]) => text.length > 20 && text.includes(" ") && !text.includes("{"));

export { told };

const patience = 4_000;

/** From here on the screens are in German. */
export function put(): void {
  const { add, look, know, knows } = lookUp([...told, ...sentences]);
  for (const { english, german } of catalogues) lay(english, german, know);
  const behind = import("./behind").then(
    (rest) => { add(rest.told); rest.putGuide(); },
    (error) => console.error("read the German of the desk:", error), // its English stands
  );
  const show = (text: string): string => {
    const german = look(text);
    return inGermanFigures(german, german !== text || knows(text));
  };
  // A screen of the desk waits for its German, and not for ever. What comes later is there for the next screen.
  speak(look, show, { locale: "de-DE", decimal: "," }, inTime(behind, patience).catch(() => undefined));
  drawBy(show);
}
