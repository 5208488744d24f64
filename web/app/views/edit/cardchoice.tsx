import { useEffect, useState } from "preact/hooks";
import type { Card, Case, FitLine } from "../../generated/types";
import { Icon, Tag } from "../../parts";
import { sheetFromCase, status, type Doc } from "../../state";
import { textCase } from "../../text-case";
import { techniqueOf } from "../cardwords";
import { nameOf } from "../people";

const words = textCase.case;
const settleMillis = 400;

interface CardChoiceProps {
  legend: string;
  cards: readonly Doc<Card>[];
  /** The case with the facts given so far. */
  of: Case;
  /** Says whose card it is, for cards of other surgeons. */
  owners?: boolean;
  onChange: (card: string) => void;
  problem?: string | null;
}

/** The cards to choose from, each with what the facts say for and against it in its surgeon's words. */
export function CardChoice({ legend, cards, of, owners, onChange, problem }: CardChoiceProps) {
  const fits = useFits(of, cards);
  return (
    <fieldset class="choice">
      <legend class="choice-legend">{legend}</legend>
      <div class="cardchoice">
        {cards.map((d) => (
          <label key={d.id} class="choice-option">
            <input type="radio" name="card" value={d.id} checked={of.card === d.id} onChange={() => onChange(d.id)} />
            <span class="choice-face">
              <span class="choice-mark" aria-hidden="true"><Icon name="tick" /></span>
              <span class="cardchoice-words">
                <span>{d.body.title}</span>
                <span class="choice-hint">{owners && `${nameOf(d.body.owner)} · `}{techniqueOf(d.body)}</span>
                <FitWords lines={fits.get(d.id) ?? []} />
              </span>
            </span>
          </label>
        ))}
      </div>
      <p class="field-problem" aria-live="polite">{problem}</p>
    </fieldset>
  );
}

function FitWords({ lines }: { lines: readonly FitLine[] }) {
  const open = lines.filter((f) => !f.known).map((f) => f.text); // would speak, but nobody knows
  return (
    <>
      {lines.filter((f) => f.known).map((f) => (
        <span key={f.speaks + f.text + f.reason} class="cardchoice-fit">
          {f.speaks === "for" ? <Tag icon="plus">{words.fitFor}</Tag> : <Tag kind="caution">{words.fitAgainst}</Tag>}
          <span> {f.text}: {f.reason}</span>
        </span>
      ))}
      {open.length > 0 && <span class="cardchoice-fit quiet"><Icon name="question" /> {[...new Set(open)].join("; ")}</span>}
    </>
  );
}

/** What speaks for and against each card. It comes out of making a sheet, so that no rule is judged here. */
function useFits(of: Case, cards: readonly Doc<Card>[]): ReadonlyMap<string, FitLine[]> {
  const [fits, setFits] = useState<ReadonlyMap<string, FitLine[]>>(new Map());
  const ids = cards.filter((d) => (d.body.fit ?? []).length > 0).map((d) => d.id).join(" ");
  const facts = JSON.stringify({ ...of, note: "", removed: false });
  const failed = status.value.core === "failed";
  useEffect(() => {
    if (ids === "" || failed) return;
    let gone = false;
    const timer = setTimeout(async () => {
      const found = new Map<string, FitLine[]>();
      for (const card of ids.split(" ")) {
        // A case that is not complete yet makes no sheet: then nothing is said about the card.
        const sheet = await sheetFromCase({ ...JSON.parse(facts), card }).catch(() => null);
        if (sheet?.fit) found.set(card, sheet.fit);
      }
      if (!gone) setFits(found);
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [ids, facts, failed]);
  return fits;
}
