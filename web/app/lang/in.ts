/** The shape of a catalogue of words in another language: the same keys, the same functions with the same parameters. */
export type In<T> = T extends (...parameters: infer P) => string
  ? (...parameters: P) => string
  : T extends string
    ? string
    : T extends readonly string[]
      ? readonly string[]
      : { readonly [K in keyof T]: In<T[K]> };
