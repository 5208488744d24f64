import { useEffect, useRef, useState } from "preact/hooks";
import type { Card, Case, FitLine, Ranked } from "../../generated/types";
import { Icon, Tag, Why } from "../../parts";
import { rank, status, type Doc } from "../../state";
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
  /** Cards of other surgeons: says whose each is, and keeps them in the order given. */
  owners?: boolean;
  onChange: (card: string) => void;
  problem?: string | null;
}

/** The cards to choose from, each with what the facts say for and against it. No card is called the best: the surgeon chooses. */
export function CardChoice({ legend, cards, of, owners, onChange, problem }: CardChoiceProps) {
  const ranked = useRanked(of, cards, owners === true);
  const order = useOrder(ranked, of.card !== "" || owners === true);
  const place = (d: Doc<Card>) => (order.includes(d.id) ? order.indexOf(d.id) : order.length);
  const chosen = ranked.find((r) => r.card === of.card);
  return (
    <>
      <fieldset class="choice">
        <legend class="choice-legend">{legend}</legend>
        <div class="cardchoice">
          {[...cards].sort((a, b) => place(a) - place(b)).map((d) => (
            <label key={d.id} class="choice-option">
              <input type="radio" name="card" value={d.id} checked={of.card === d.id} onChange={() => onChange(d.id)} />
              <span class="choice-face">
                <span class="choice-mark" aria-hidden="true"><Icon name="tick" /></span>
                <span class="cardchoice-words">
                  <span>{d.body.title}</span>
                  <span class="choice-hint">{owners && `${nameOf(d.body.owner)} · `}{techniqueOf(d.body)}</span>
                  <FitWords of={ranked.find((r) => r.card === d.id)} />
                </span>
              </span>
            </label>
          ))}
        </div>
        <p class="field-problem" aria-live="polite">{problem}</p>
      </fieldset>
      {(chosen?.remarks ?? []).length > 0 && (
        <Why label={words.aboutTechnique}>
          <ul>{chosen?.remarks?.map((r) => <li key={r.text}>{r.text} <span class="quiet">({r.source}; {textCase.marks[r.mark]})</span></li>)}</ul>
        </Why>
      )}
    </>
  );
}

/** The group in a word, then every reason. A card that nothing is said about shows nothing. */
function FitWords({ of: r }: { of: Ranked | undefined }) {
  if (!r || r.group === "speaks neither way") return null;
  const unknown = [...new Set((r.unknown ?? []).map((f) => f.text))]; // would speak, but nobody knows
  return (
    <>
      <span class="cardchoice-fit"><Tag>{words.groups[r.group] ?? r.group}</Tag></span>
      {(r.for ?? []).map((f) => <Reason key={f.text + f.reason} of={f} />)}
      {(r.against ?? []).map((f) => <Reason key={f.text + f.reason} of={f} />)}
      {unknown.length > 0 && <span class="cardchoice-fit quiet"><Icon name="question" label={words.fitUnknown} /> {unknown.join("; ")}</span>}
    </>
  );
}

function Reason({ of: f }: { of: FitLine }) {
  const from = f.mark && textCase.marks[f.mark];
  return (
    <span class="cardchoice-fit">
      {f.speaks === "for" ? <Tag icon="plus">{words.fitFor}</Tag> : <Tag kind="caution">{words.fitAgainst}</Tag>}
      <span> {f.text}: {f.reason}{from && <span class="quiet"> ({from})</span>}</span>
    </span>
  );
}

/** The order in which the cards stand. Nothing moves any more once one is chosen. */
function useOrder(ranked: readonly Ranked[], still: boolean): readonly string[] {
  const order = useRef<readonly string[]>([]);
  if (!still) order.current = ranked.map((r) => r.card);
  return order.current;
}

/** What the core says of each card. The first answer is asked for at once, so that nothing moves under a finger. */
function useRanked(of: Case, cards: readonly Doc<Card>[], others: boolean): readonly Ranked[] {
  const [ranked, setRanked] = useState<readonly Ranked[]>([]);
  const asked = useRef(false);
  const facts = JSON.stringify({ ...of, note: "", removed: false, ...(others && { surgeon: "" }) });
  const bodies = cards.map((d) => d.body);
  const failed = status.value.core === "failed";
  useEffect(() => {
    if (failed) return;
    let gone = false;
    const timer = setTimeout(() => {
      rank(bodies, JSON.parse(facts) as Case).then((list) => { if (!gone) setRanked(list); }, () => undefined); // the shell says when the core is not there
    }, asked.current ? settleMillis : 0);
    asked.current = true;
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [facts, cards.map((d) => `${d.id} ${d.rev} ${d.after ?? ""}`).join(" "), failed]);
  return ranked;
}
