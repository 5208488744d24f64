import type { Case } from "../generated/types";
import { Caution, dayInWords, Stop, today, unbroken } from "../parts";
import { docs, type Doc, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { answersTo } from "./edit/asked";
import { nameOf } from "./people";
import { Unresolved } from "./unresolved";

const words = textCase.sheet;

/**
 * Where the sheet in use and the case part ways over which eye, whose list or whether at all: a sheet of the wrong case
 * looks like any other, so this is said above everything and cannot be put away.
 */
export function OtherCase({ use }: { use: SheetUse }) {
  const made = use.sheet.made.case;
  const now = docs.value.get(`case/${use.caseId}`) as Doc<Case> | undefined;
  return (
    <>
      {made.list !== today() && <Caution word={words.otherDay}>{words.otherDayOf(dayInWords(made.list))}</Caution>}
      {now?.body.removed && <Stop>{words.offTheList}</Stop>}
      {now && contradictions(made, now.body).map((t) => <Stop key={t}>{unbroken(t)}</Stop>)}
      {now?.questions.map((q) => (
        <Unresolved key={q.id} stop question={q}>{words.factsOpen(q.label)}</Unresolved>
      ))}
    </>
  );
}

export function eyeUnsettled(use: SheetUse): boolean {
  return factUnsettled(use, "eye");
}

/** Whether the case has come to say something else than the sheet about a fact, or two people answered it differently. */
export function factUnsettled(use: SheetUse, factor: string): boolean {
  const now = docs.value.get(`case/${use.caseId}`) as Doc<Case> | undefined;
  if (!now) return false;
  const said = (c: Case) => answersTo(c, factor).join("|");
  return said(now.body) !== said(use.sheet.made.case) || factQuestion(use, factor) !== undefined;
}

export function factQuestion(use: SheetUse, factor: string): OpenQuestion | undefined {
  return docs.value.get(`case/${use.caseId}`)?.questions.find((q) => q.unit === `facts/${factor}`);
}

function eyeIn(c: Case): string {
  return answersTo(c, "eye")[0] ?? "";
}

/** What tells one case from another and is no longer what the sheet was made with. */
function contradictions(made: Case, now: Case): string[] {
  const title = (id: string) => docs.value.get(`card/${id}`)?.body.title ?? id;
  const pairs: [string, string, string][] = [
    [words.which.eye, eyeIn(made), eyeIn(now)],
    [words.which.surgeon, nameOf(made.surgeon), nameOf(now.surgeon)],
    [words.which.card, title(made.card), title(now.card)],
    [words.which.place, String(made.position), String(now.position)],
    [words.which.list, dayInWords(made.list), dayInWords(now.list)],
  ];
  return pairs.filter(([, a, b]) => a !== b).map(([what, a, b]) => words.changedSince(what, a || words.noEye, b || words.noEye));
}
