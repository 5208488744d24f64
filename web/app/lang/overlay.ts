// Lays the words of another language over the English ones, in place: whoever holds a part of a catalogue then holds the other words.

type Branch = Record<string, unknown>;

const isBranch = (x: unknown): x is Branch => typeof x === "object" && x !== null;

/** Writes every leaf of `words` over the same leaf of `over`. What a function answers is told to `know`: it is in the language already. */
export function lay(over: object, words: object, know: (text: string) => void): void {
  const target = over as Branch;
  for (const [key, word] of Object.entries(words)) {
    const old = target[key];
    if (isBranch(word) && isBranch(old)) {
      lay(old, word, know);
      continue;
    }
    if (typeof word === "string") know(word);
    target[key] = typeof word === "function" ? telling(word as Answering, know) : word;
  }
}

type Answering = (...given: unknown[]) => string;

/** The function, which tells what it answered; what it hands through as it came may still be English. */
function telling(of: Answering, know: (text: string) => void): Answering {
  return (...given) => {
    const text = of(...given);
    if (!given.includes(text)) know(text);
    return text;
  };
}

/** Every text and function of a catalogue with its address in it: "sheet.tabs.setup". */
export function leaves(of: object, at = ""): [address: string, leaf: unknown][] {
  return Object.entries(of).flatMap(([key, x]) => (isBranch(x) ? leaves(x, `${at}${key}.`) : [[at + key, x] as [string, unknown]]));
}
