// Pairs with places: "{0} is not on the card" stands for every such text, whatever is in the place.

/** An English text and the same in another language. Both may hold places, {0} and so on, for parts that vary. */
export type Pair = readonly [english: string, told: string];

export interface Pattern {
  /** Made when it is first asked for: few of all pairs ever are. */
  fits: () => RegExp;
  /** The places in the order in which they stand in the English. */
  places: readonly number[];
  told: string;
  /** How many letters of it are fixed. */
  fixed: number;
  /** A sign that only the program sets is fixed in it. */
  signed: boolean;
  /** A whole word that every text of this pattern holds; undefined: it has none. */
  word: string | undefined;
}

const place = /\{(\d+)\}/;
const letters = /\p{L}+/gu;

export const hasPlaces = (text: string): boolean => place.test(text);

/** The words of a text. */
export const wordsOf = (text: string): string[] => text.match(letters) ?? [];

export function patternOf([english, told]: Pair): Pattern {
  const cut = english.split(place);
  const fixed = cut.filter((_, i) => i % 2 === 0);
  const places = [...new Set(cut.filter((_, i) => i % 2 === 1).map(Number))];
  let fits: RegExp | undefined;
  const whole = fixed.flatMap((part, i) => wholeWords(part, i > 0, i < fixed.length - 1));
  return {
    fits: () => (fits ??= shapeOf(cut)), places, told,
    fixed: wordsOf(fixed.join(" ")).join("").length,
    signed: /[“”:→()=]/.test(fixed.join("")),
    word: whole.sort((a, b) => b.length - a.length)[0],
  };
}

function shapeOf(cut: readonly string[]): RegExp {
  const seen: number[] = [];
  const source = cut.map((part, i) => (i % 2 === 0 ? part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&") : hole(Number(part), seen)));
  return new RegExp(`^${source.join("")}$`, "su");
}

/** A place that stands a second time holds the same as the first time. */
function hole(n: number, places: number[]): string {
  const before = places.indexOf(n);
  if (before >= 0) return `\\${before + 1}`;
  places.push(n);
  return "(.+?)";
}

/** The words of a fixed part that no neighbouring place can lengthen. */
function wholeWords(part: string, after: boolean, before: boolean): string[] {
  const own = after ? part.replace(/^\p{L}+/u, "") : part;
  return wordsOf(before ? own.replace(/\p{L}+$/u, "") : own);
}
