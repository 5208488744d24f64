import type { Pause, PauseLine } from "../generated/types";
import type { SheetUse } from "../state";

// What can be said of a pause from the answers alone. No screen, no clock.

export type Answers = SheetUse["answers"];
export type Given = Answers[string];

/** The answers a line can have. "answered" alone is not enough where a stored value must be compared. */
export type AnswerWord = "answered" | "same" | "different" | "not sure" | "not applicable" | "not done";

/** The key of a line's answer. */
export function lineKey(pause: Pause, line: PauseLine): string {
  return `${pause.id}/${line.id}`;
}

/** Where a pause that was put aside keeps its reason; no line id can be empty. */
export function asideKey(pause: Pause): string {
  return `${pause.id}/`;
}

export function answerOf(pause: Pause, line: PauseLine, answers: Answers): Given | undefined {
  return answers[lineKey(pause, line)];
}

/** Whether the line needs nothing more: compared where a value is stored, settled where it differed, with a reason where it was not done. */
export function isDone(line: PauseLine, given: Given | undefined): boolean {
  switch (given?.answer) {
    case "answered":
      return !line.stored;
    case "same":
    case "not applicable":
      return true;
    case "different":
    case "not done":
      return Boolean(given.note);
  }
  return false;
}

/** Whether the line stops the pause: what is stored and what was said differ, or nobody is sure, and it is not settled. */
export function isStop(line: PauseLine, given: Given | undefined): boolean {
  return (given?.answer === "different" || given?.answer === "not sure") && !isDone(line, given);
}

/**
 * The answer as it is kept. One that settles a stop says that there was one,
 * and what was said before a value was compared stays with it.
 */
export function answerAfter(line: PauseLine, before: Given | undefined, word: AnswerWord, note: string | undefined, atFirst: (word: string) => string): { answer: AnswerWord; note?: string } {
  if (note !== undefined) return { answer: word, note };
  if (word !== "answered" && word !== "same") return { answer: word };
  const was = before && (isStop(line, before) ? atFirst(before.answer) : before.answer === "answered" ? before.note : undefined);
  return was ? { answer: word, note: was } : { answer: word };
}

/** The seconds that the lines from this one on take at the stated pace: their share of the whole pause, which the sheet reckons. */
export function secondsLeft(pause: Pause, at: number): number {
  const weight = (lines: readonly PauseLine[]) => lines.reduce((sum, l) => sum + l.text.length, 0);
  const all = weight(pause.lines);
  return all === 0 ? 0 : Math.ceil((pause.seconds * weight(pause.lines.slice(at))) / all);
}

/** The first line that still needs something; the number of lines when none does. */
export function firstOpen(pause: Pause, answers: Answers): number {
  const i = pause.lines.findIndex((l) => !isDone(l, answerOf(pause, l, answers)));
  return i < 0 ? pause.lines.length : i;
}

export interface Tally {
  of: number;
  /** Lines that have an answer, "not applicable" among them; "not done" is none. */
  done: number;
  notApplicable: number;
  notDone: number;
  /** Lines that stop the pause. */
  stops: number;
  /** Every line has been dealt with. */
  finished: boolean;
  /** Something was answered at all. */
  begun: boolean;
  /** Why the pause was put aside, if it was. */
  aside: string | undefined;
}

export function tally(pause: Pause, answers: Answers): Tally {
  const given = pause.lines.map((l) => answerOf(pause, l, answers));
  const count = (word: AnswerWord) => given.filter((g) => g?.answer === word).length;
  const dealt = pause.lines.filter((l, i) => isDone(l, given[i])).length;
  const notDone = pause.lines.filter((l, i) => given[i]?.answer === "not done" && isDone(l, given[i])).length;
  const stops = pause.lines.filter((l, i) => isStop(l, given[i])).length;
  return {
    stops, of: pause.lines.length, done: dealt - notDone, notApplicable: count("not applicable"), notDone,
    finished: dealt === pause.lines.length, begun: given.some(Boolean), aside: answers[asideKey(pause)]?.note,
  };
}

/** When the last answer of the pause was given, in milliseconds; null when none was. */
export function lastAnswered(pause: Pause, answers: Answers): number | null {
  const times = pause.lines.map((l) => answerOf(pause, l, answers)?.at).filter((t): t is string => Boolean(t)).map((t) => Date.parse(t));
  return times.length > 0 ? Math.max(...times) : null;
}
