import type { Card, Case } from "../generated/types";
import { words as vocabulary } from "../generated/vocabulary";
import { dayInWords } from "../parts";
import { doc } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { cardName } from "./cardwords";
import { answersTo } from "./edit/asked";
import { sentence } from "./names";
import { nameOf } from "./people";

const words = textCase.sheet;

/** Which case it is, where no sheet says so yet. */
export function CaseHead({ body }: { body: Case }) {
  const card = doc<Card>("card", body.card);
  return (
    <header class="sheet-head">
      <p class="sheet-eye">{sentence(eyeOfCase(body))}</p>
      <p class="sheet-who"><strong>{nameOf(body.surgeon)}</strong> · {card ? cardName(card.body) : text.cardMissing}</p>
      <p class="quiet small">{words.listOf(dayInWords(body.list))}</p>
    </header>
  );
}

/** The eye of a case without a sheet, in words; where two people answered differently none is named. */
export function eyeOfCase(body: Case): string {
  if (doc<Case>("case", body.id)?.questions.some((q) => q.unit === "facts/eye")) return words.eyeUnsettled;
  return answersTo(body, "eye").find((a) => a !== vocabulary.notKnown) ?? words.noEye;
}
