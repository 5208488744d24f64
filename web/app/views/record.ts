import type { Pause } from "../generated/types";
import type { NewRecord, NoteRecord, PauseRecord, RecordAnswer, RecordBody, RecordLine, SheetUse } from "../state";
import { answerOf, lastAnswered, type Answers } from "./pause";

// What is kept of a pause that was read aloud, and of a note left from a drill. Pure.

type Times = Pick<NewRecord, "begun" | "ended">;

function of({ caseId, sheet: { made } }: SheetUse, times: Times) {
  const { list, position } = made.case;
  return { case: caseId, list, position, card: made.card, card_revision: made.card_revision, rules_revision: made.rules_revision, ...times };
}

/** A pause of which every line is settled. The same answers give the same record, whenever it is asked for. */
export function recordOfDone(use: SheetUse, pause: Pause): PauseRecord {
  const ended = new Date(lastAnswered(pause, use.answers) ?? 0).toISOString();
  return { what: "pause", ...of(use, { begun: firstAnswered(pause, use.answers) ?? ended, ended }), pause: pause.id, outcome: "done", lines: linesOf(pause, use.answers) };
}

/** A pause that stops here, for a reason. */
export function recordOfAside(use: SheetUse, pause: Pause, reason: string, now: string): PauseRecord {
  const begun = firstAnswered(pause, use.answers) ?? now;
  return { what: "pause", ...of(use, { begun, ended: now }), pause: pause.id, outcome: "put aside", reason, lines: linesOf(pause, use.answers) };
}

/** A note for the debrief. begun is when the drill was opened. */
export function recordOfNote(use: SheetUse, drill: { key: string; title: string }, text: string, times: Times): NoteRecord {
  return { what: "note", ...of(use, times), drill: drill.key, title: drill.title, text };
}

function firstAnswered(pause: Pause, answers: Answers): string | undefined {
  return pause.lines.map((l) => answerOf(pause, l, answers)?.at).filter((at) => at !== undefined).sort()[0];
}

function linesOf(pause: Pause, answers: Answers): RecordLine[] {
  return pause.lines.map((l) => {
    const given = answerOf(pause, l, answers);
    return {
      id: l.id, text: l.text, ask: l.ask, by: l.answer, ...(l.stored && { stored: l.stored }),
      ...(given && { answer: given.answer as RecordAnswer, ...(given.note && { note: given.note }), at: given.at }),
    };
  });
}

/** How many lines of a record are in each state, for one line of words. */
export function recordTally(r: PauseRecord): { of: number; open: number; notDone: number; stops: number } {
  const count = (...words: (RecordAnswer | undefined)[]) => r.lines.filter((l) => words.includes(l.answer)).length;
  const stops = r.lines.filter((l) => l.answer === "not sure" || (l.answer === "different" && !l.note)).length;
  return { of: r.lines.length, open: count(undefined), notDone: count("not done"), stops };
}

/** The records of a case in the order in which they ended. */
export function recordsOf(bodies: readonly RecordBody[], caseId: string): RecordBody[] {
  return bodies.filter((b) => b.case === caseId).sort((a, b) => (a.ended < b.ended ? -1 : 1));
}
