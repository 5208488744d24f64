import { useState } from "preact/hooks";
import type { Card } from "../generated/types";
import { Button, Icon, toast, timeInWords } from "../parts";
import { keep, me, NotKept, type Doc, type OpenQuestion } from "../state";
import { text } from "../text";
import { withSide } from "./decide";
import { unbroken } from "./names";
import { nameOf } from "./people";
import "./question.css";

/** The open questions of a card at one place: of exactly one unit, or of everything below it. */
export function questionsAt(of: Doc<Card>, unit: string): OpenQuestion[] {
  return of.questions.filter((q) => q.unit === unit || q.unit.startsWith(unit + "/"));
}

/** Both values stand in place of the one that would have been shown, and one of them can be taken. */
export function Questions({ of, list }: { of: Doc<Card>; list: readonly OpenQuestion[] }) {
  return <>{list.map((q) => <QuestionPart key={q.id} of={of} q={q} />)}</>;
}

function QuestionPart({ of, q }: { of: Doc<Card>; q: OpenQuestion }) {
  const [busy, setBusy] = useState(false);
  const decide = async (side: "head" | "mine") => {
    const body = withSide(of.body, q, side);
    if (!body) return;
    setBusy(true);
    const reason = text.decided(q.label, sideText(q, side));
    try {
      await keep({ kind: "card", doc: of.id, body, reason, decides: [q.id] });
      toast(text.decidedToast);
    } catch (e) {
      toast(e instanceof NotKept ? e.message : text.notKept, { stays: true });
    } finally {
      setBusy(false);
    }
  };
  return (
    <section class="question" aria-label={`${q.label}: ${text.questionHead}`} id={`question-${q.id}`}>
      <h3 class="question-head">{q.label}<span>{text.questionHead}</span></h3>
      <div class="question-sides">
        <SideOf q={q} of={of} side="head" busy={busy} decide={decide} />
        <SideOf q={q} of={of} side="mine" busy={busy} decide={decide} />
      </div>
      {q.base_text && <p class="quiet">{text.bothFrom}: {unbroken(q.base_text)}</p>}
      <p>{q.foreseen ? text.questionForeseen : text.questionDo(nameOf(of.body.owner))}</p>
      {!q.foreseen && !me.value && <Button href="/person">{text.decideWho}</Button>}
    </section>
  );
}

interface SideProps {
  of: Doc<Card>;
  q: OpenQuestion;
  side: "head" | "mine";
  busy: boolean;
  decide: (side: "head" | "mine") => Promise<void>;
}

function sideText(q: OpenQuestion, side: "head" | "mine"): string {
  return (side === "head" ? q.head_text : q.mine_text) || text.removedThere;
}

/** One line a value, as the core lists them. */
function linesOf(q: OpenQuestion, side: "head" | "mine"): string[] {
  return unbroken(sideText(q, side)).split("; ");
}

function SideOf({ of, q, side, busy, decide }: SideProps) {
  const by = side === "head" ? q.head_by : q.mine_by;
  const open = !q.foreseen && me.value !== null;
  return (
    <div class="question-side">
      <p class="quiet">{text.writtenBy(nameOf(by))}{side === "mine" && q.at && `, ${timeInWords(q.at)}`}</p>
      <ul role="list" class="question-text">
        {linesOf(q, side).map((line) => {
          const differs = !linesOf(q, side === "head" ? "mine" : "head").includes(line);
          return <li key={line} class={differs ? "question-differs" : undefined}>{differs && <Icon name="forward" label={text.differs} />}{line}</li>;
        })}
      </ul>
      {open && (withSide(of.body, q, side)
        ? <Button busy={busy} onClick={() => void decide(side)}>{text.takeThis}</Button>
        : <Button href={`/cards/${of.id}/edit`}>{text.decideByHand}</Button>)}
    </div>
  );
}
