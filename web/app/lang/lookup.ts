// Looks a text up among pairs: whole, then by pairs with places, then cut into its parts.

import { hasPlaces, patternOf, wordsOf, type Pair, type Pattern } from "./pairs";

export interface LookUp {
  /** Takes further pairs; those that are there already hold. */
  add: (pairs: readonly Pair[]) => void;
  /** The text in the other language; itself where no pair fits. */
  look: (text: string) => string;
  /** Takes a text as one of the other language, which is given back as it is. */
  know: (text: string) => void;
  /** Whether the program said the text, in either language; who wrote any other is not known here. */
  knows: (text: string) => boolean;
}

/** More remembered texts than any screen shows; then it begins anew. */
const most = 20_000;

const hasLetters = /\p{L}/u;
const sentenceEnd = /(?<=[.!?…][”")]*)\s+(?=[“"(]*[\p{Lu}\d])/u;
/** A number or a range, with its unit where it has one. */
const figure = /^[\d.,:%×–+\-\s]+( to [\d.,\s]+)?[\p{L}/%°·²]{0,8}$/u;
/** With fewer fixed letters, and no sign of the program's, a pattern might be part of what somebody wrote: "{0} units". */
const few = 8;
const tail = /^(.+?)(\s*[.:;,…?!]+)$/su;
const wrapped = /^([“"(])(.+)([”")])$/su;
const bracketed = /^(.+) \((.+)\)$/su;

export function lookUp(pairs: readonly Pair[]): LookUp {
  const whole = new Map<string, string>();
  const byWord = new Map<string, Pattern[]>();
  const wordless: Pattern[] = [];
  const own = new Set<string>();
  const known = new Set<string>();
  const found = new Map<string, string>();

  const add = (more: readonly Pair[]): void => {
    found.clear();
    for (const [english, german] of more) {
      const told = grouped(german);
      if (hasPlaces(english)) take(patternOf([english, told]));
      else if (!whole.has(english)) {
        whole.set(english, told);
        own.add(told);
      }
    }
    for (const english of whole.keys()) own.delete(english);
  };

  const take = (p: Pattern): void => {
    const beside = p.word === undefined ? wordless : byWord.get(p.word);
    if (beside) beside.push(p);
    else byWord.set(p.word ?? "", [p]);
  };

  const know = (text: string): void => {
    if (whole.has(text)) return; // a function may have handed an English word through
    if (known.size > most) known.clear();
    known.add(text);
  };

  const knows = (text: string): boolean => whole.has(text) || own.has(text) || known.has(text);

  const look = (text: string): string => {
    if (!hasLetters.test(text)) return whole.get(text) ?? text;
    const before = found.get(text);
    if (before !== undefined) return before;
    if (known.has(text) || own.has(text)) return text;
    const told = around(text);
    if (found.size > most) found.clear();
    found.set(text, told);
    if (told !== text) know(told);
    return told;
  };

  /** Spaces at the ends stay; a space that keeps a value and its unit together is found as any other, and put back. */
  const around = (text: string): string => {
    const inside = text.trim();
    const at = text.indexOf(inside);
    const plain = inside.replaceAll("\u00a0", " ");
    const told = inside === plain ? search(inside) : exact(inside) ?? together(search(plain), plain, inside);
    return text.slice(0, at) + told + text.slice(at + inside.length);
  };

  const search = (text: string): string => exact(text) ?? matched(text) ?? pieces(text);

  const exact = (text: string): string | undefined => {
    const told = whole.get(text);
    if (told !== undefined) return told;
    const first = text.charAt(0);
    const small = first.toLowerCase() + text.slice(1);
    const large = first.toUpperCase() + text.slice(1);
    const other = small === text ? undefined : whole.get(small);
    return other === undefined ? whole.get(large) : other.charAt(0).toUpperCase() + other.slice(1);
  };

  /** Of several pairs that fit, the one with the most fixed text. */
  const matched = (text: string): string | undefined => {
    const fitting = [...new Set(wordsOf(text))].flatMap((w) => byWord.get(w) ?? []).concat(wordless);
    for (const p of fitting.sort((a, b) => b.fixed - a.fixed || a.places.length - b.places.length)) {
      const held = p.fits().exec(text)?.slice(1);
      if (!held || held.some((h) => sentenceEnd.test(h) || (!p.signed && isTooMuch(p, h)))) continue;
      return p.told.replace(/\{(\d+)\}/g, (_, n: string) => look(held[p.places.indexOf(Number(n))] ?? ""));
    }
    return undefined;
  };

  /** Whether so much stands in a place that was not said by the program that all of it may be a person's. */
  const isTooMuch = (p: Pattern, held: string): boolean => (p.fixed < few || wordsOf(held).join("").length > 3 * p.fixed) && !isKnown(held);

  const isKnown = (part: string): boolean => figure.test(part) || known.has(part) || own.has(part) || look(part) !== part || exact(part) !== undefined;

  /** A part of a text. A word that stands alone beside what a person wrote is that person's: a call such as "Capsule. Stay still." is not half turned. */
  const beside = (parts: readonly string[], part: string): string => {
    const alone = wordsOf(part).length === 1 && parts.some((p, i) => i % 2 === 0 && wordsOf(p).length > 2 && !isKnown(p));
    return alone ? part : look(part);
  };

  const pieces = (text: string): string => {
    for (const cut of ["\n", " · ", sentenceEnd, "; ", " → "]) {
      const parts = split(text, cut);
      if (parts.length > 1) return parts.map((p, i) => (i % 2 === 1 ? p : cut === sentenceEnd ? beside(parts, p) : look(p))).join("");
    }
    const colon = text.indexOf(": ");
    if (colon > 0 && isKnown(text.slice(0, colon))) return `${look(text.slice(0, colon))}: ${look(text.slice(colon + 2))}`;
    const list = text.split(", ");
    if (list.length > 1 && list.every(isKnown)) return list.map(look).join(", ");
    return taken(text, bracketed, ([a = "", b = ""]) => `${look(a)} (${look(b)})`)
      ?? taken(text, wrapped, ([open = "", inside = "", close = ""]) => (look(inside) === inside ? text : quoted(open, look(inside), close)))
      ?? taken(text, tail, ([a = "", end = ""]) => look(a) + end)
      ?? text;
  };

  add(pairs);
  return { add, look, know, knows };
}

/** The text cut where the separator stands; the separators stay, in the odd places. */
function split(text: string, at: string | RegExp): string[] {
  if (typeof at === "string") return text.split(at).flatMap((part, i) => (i === 0 ? [part] : [at, part]));
  return text.split(new RegExp(`(${at.source})`, at.flags));
}

function taken(text: string, shape: RegExp, tell: (parts: string[]) => string): string | undefined {
  const m = shape.exec(text);
  return m ? tell(m.slice(1)) : undefined;
}

function quoted(open: string, inside: string, close: string): string {
  return open === "“" ? `„${inside}“` : open + inside + close;
}

/** Spaces that must not part come back where the text had them: between a value and its unit, and in what is said of an eye. */
function together(told: string, plain: string, text: string): string {
  if (told === plain) return text;
  return told.replace(/(\d) (?=[%\p{L}°])/gu, "$1\u00a0").replace(/(\d) → (?=\d)/g, "$1\u00a0→\u00a0").replace(/\b(rechtes|linkes) Auge/gi, "$1\u00a0Auge");
}

/** Thousands stand apart in our own pairs, since a comma between digits is a decimal mark there. In what people wrote they stay as they are. */
function grouped(told: string): string {
  return told.replace(/(?<![\d.,])[1-9]\d{0,2}(,\d{3})+(?![\d,])/g, (n) => n.replaceAll(",", "\u202f"));
}
