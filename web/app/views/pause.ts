import type { Pause, PauseLine } from "../generated/types";
import type { SheetUse } from "../state";

// What can be said of a pause from the answers alone. No screen, no clock.

export type Answers = SheetUse["answers"];
export type Given = Answers[string];

/** The answers a line can have. "answered" alone is not enough where a stored value must be compared. */
export type AnswerWord = "answered" | "same" | "different" | "not applicable" | "not done";

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
  return {
    of: pause.lines.length, done: dealt - notDone, notApplicable: count("not applicable"), notDone,
    finished: dealt === pause.lines.length, begun: given.some(Boolean), aside: answers[asideKey(pause)]?.note,
  };
}

/** When the last answer of the pause was given, in milliseconds; null when none was. */
export function lastAnswered(pause: Pause, answers: Answers): number | null {
  const times = pause.lines.map((l) => answerOf(pause, l, answers)?.at).filter((t): t is string => Boolean(t)).map((t) => Date.parse(t));
  return times.length > 0 ? Math.max(...times) : null;
}
