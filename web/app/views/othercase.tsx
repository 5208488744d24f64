import type { Case } from "../generated/types";
import { Caution, dayInWords, Stop, today, TwoValues, unbroken } from "../parts";
import { docs, type Doc, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { answersTo } from "./edit/asked";
import { sideText } from "./names";
import { nameOf } from "./people";

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
        <div key={q.id} class="stack-close">
          <Stop word={textCase.limits.unresolved}>{words.factsOpen(q.label)}</Stop>
          <TwoValues label={q.label} sides={[
            { text: sideText(q.head_text), by: textCase.limits.unresolvedHead(nameOf(q.head_by)) },
            { text: sideText(q.mine_text), by: textCase.limits.unresolvedHead(nameOf(q.mine_by)) },
          ]} />
        </div>
      ))}
    </>
  );
}

/** Whether the case has come to say another eye than the sheet, or two people answered it differently. */
export function eyeUnsettled(use: SheetUse): boolean {
  const now = docs.value.get(`case/${use.caseId}`) as Doc<Case> | undefined;
  if (!now) return false;
  return eyeIn(now.body) !== eyeIn(use.sheet.made.case) || now.questions.some((q) => q.unit === "facts/eye");
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
