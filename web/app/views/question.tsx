import { useState } from "preact/hooks";
import type { Card, Case, Question } from "../generated/types";
import { Button, Icon, toast, timeInWords } from "../parts";
import { iMay, keep, me, NotKept, type Doc, type OpenQuestion } from "../state";
import { text } from "../text";
import { textProposals } from "../text-proposals";
import { caseWithSide } from "./caseside";
import { withSide } from "./decide";
import { unbroken } from "./names";
import { Offer } from "./offer";
import { nameOf } from "./people";
import { withNames } from "./withnames";
import "./question.css";

/** The open questions of a card at one place: of exactly one unit, or of everything below it. */
export function questionsAt(of: Doc<Card>, unit: string): OpenQuestion[] {
  return of.questions.filter((q) => q.unit === unit || q.unit.startsWith(unit + "/"));
}

/** Both values stand in place of the one that would have been shown, and one of them can be taken. */
export function Questions({ of, list }: { of: Doc<Card>; list: readonly OpenQuestion[] }) {
  const asked: Asked = { kind: "card", from: of, ask: of.body.owner, with: (q, side) => withSide(of.body, q, side), byHand: `/cards/${of.id}/edit` };
  return <>{list.map((q) => <QuestionPart key={q.id} of={asked} q={withNames(q, nameOf)} />)}</>;
}

interface CaseQuestionsProps {
  of: Doc<Case>;
  /** A side was taken and is kept. */
  onDecided: (q: OpenQuestion, side: Side) => void;
}

/** Facts of a case that two people answered differently. */
export function CaseQuestions({ of, onDecided }: CaseQuestionsProps) {
  const asked: Asked = { kind: "case", from: of, ask: of.body.surgeon, with: (q, side) => caseWithSide(of.body, q, side), byHand: null, onDecided };
  return <>{of.questions.map((q) => <QuestionPart key={q.id} of={asked} q={withNames(q, nameOf)} />)}</>;
}

export type Side = "head" | "mine";

/** The document a question is about, as far as deciding goes. */
interface Asked {
  kind: "card" | "case";
  /** As it is drawn here: a side that was chosen counts from that. */
  from: Doc;
  /** Who is asked which side holds. */
  ask: string;
  /** The body with one side in its place; null when that needs the editor. */
  with: (q: OpenQuestion, side: Side) => unknown;
  byHand: string | null;
  onDecided?: CaseQuestionsProps["onDecided"];
}

function QuestionPart({ of, q }: { of: Asked; q: OpenQuestion }) {
  const [busy, setBusy] = useState(false);
  const decide = async (side: Side) => {
    const body = of.with(q, side);
    if (!body) return;
    setBusy(true);
    const reason = text.decided(q.label, sideText(q, side));
    try {
      await keep({ kind: of.kind, doc: of.from.id, body, reason, decides: [q.id], from: of.from });
      of.onDecided?.(q, side);
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
      <p>{q.foreseen ? text.questionForeseen : text.questionDo(nameOf(of.ask))}</p>
      {!q.foreseen && me.value && of.kind === "card" && of.ask !== me.value && <p>{textProposals.ownerDecides(nameOf(of.ask))}</p>}
      {!q.foreseen && of.kind !== "card" && <Offer kind={of.kind} />}
      {!q.foreseen && !me.value && <Button href="/person">{text.decideWho}</Button>}
    </section>
  );
}

interface SideProps {
  of: Asked;
  q: OpenQuestion;
  side: Side;
  busy: boolean;
  decide: (side: Side) => Promise<void>;
}

/** One side of a question, a line a value, with a mark where the other side says something else. */
export function SideLines({ q, side }: { q: Question; side: Side }) {
  const other = linesOf(q, side === "head" ? "mine" : "head");
  return (
    <ul role="list" class="question-text">
      {linesOf(q, side).map((line) => {
        const differs = !other.includes(line);
        return <li key={line} class={differs ? "question-differs" : undefined}>{differs && <Icon name="forward" label={text.differs} />}{line}</li>;
      })}
    </ul>
  );
}

function sideText(q: Question, side: Side): string {
  return (side === "head" ? q.head_text : q.mine_text) || text.removedThere;
}

/** One line a value, as the core lists them. */
function linesOf(q: Question, side: Side): string[] {
  return unbroken(sideText(q, side)).split("; ");
}

function SideOf({ of, q, side, busy, decide }: SideProps) {
  const by = side === "head" ? q.head_by : q.mine_by;
  const open = !q.foreseen && me.value !== null && (of.kind === "card" ? of.ask === me.value : iMay(of.kind));
  return (
    <div class="question-side">
      <p class="quiet">{text.writtenBy(nameOf(by))}{side === "mine" && q.at && `, ${timeInWords(q.at)}`}</p>
      <SideLines q={q} side={side} />
      {open && (of.with(q, side)
        ? <Button busy={busy} onClick={() => void decide(side)}>{text.takeThis}</Button>
        : of.byHand && <Button href={of.byHand}>{text.decideByHand}</Button>)}
    </div>
  );
}
