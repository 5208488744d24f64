import type { Card } from "../generated/types";
import { Button, Caution, dayShort, daysSince, EmptyState, Note, Screen, Time } from "../parts";
import { route } from "../router";
import { doc, type Doc } from "../state";
import { text } from "../text";
import { textPaper } from "../text-paper";
import { textProposals } from "../text-proposals";
import "./card.css";
import { CardBody } from "./cardbody";
import { CardMarks } from "./cards";
import { reviewState, techniqueOf } from "./cardwords";
import { changing } from "./changing";
import { hasCardDraft } from "./edit/carddraft";
import { Offer } from "./offer";
import { nameOf } from "./people";

const back = () => ({ href: "/cards", label: text.cardsTitle });

/** One card, as it stands with the edits that still wait. Needs nothing but what the device holds. */
export function CardView() {
  const id = route.value.parts[1] ?? "";
  const of = doc<Card>("card", id);
  if (!of) return <NoCard />;
  return (
    <Screen title={of.body.title} back={back()} wide>
      <CardHead of={of} />
      <CardBody of={of} />
    </Screen>
  );
}

export function NoCard() {
  return (
    <Screen title={text.cardNotHere} back={back()}>
      <EmptyState title={text.cardNotHere} action={<Button kind="primary" href="/cards">{text.backTo(text.cardsTitle)}</Button>}>
        <p>{text.cardNotHereWhy}</p>
      </EmptyState>
    </Screen>
  );
}

function CardHead({ of }: { of: Doc<Card> }) {
  const newest = of.history[of.history.length - 1];
  return (
    <div class="cardhead">
      <p class="cardhead-owner">{nameOf(of.body.owner)} <span>{techniqueOf(of.body)}</span></p>
      <CardMarks of={of} />
      {of.questions.length > 0 && (
        <ul role="list" class="stack-close">
          {of.questions.map((q) => <li key={q.id}><a class="cardhead-question" href={`#question-${q.id}`}>{text.toQuestion(q.label)}</a></li>)}
        </ul>
      )}
      {changing.value === null && hasCardDraft(of) && (
        <Note>{text.draftHere} <Button kind="quiet" icon="edit" href={`/cards/${of.id}/edit`}>{text.draftOpen}</Button></Note>
      )}
      <p class="quiet">
        {of.rev > 0 ? text.revisionOf(of.rev) : text.notOnServer}
        {newest && <>, {text.changedOn} <Time at={newest.at} /> {text.changedBy(nameOf(newest.by))}, {age(newest.at)}</>}
        {reviewState(of.body) === "none" && ` · ${text.noReview}`}
        {reviewState(of.body) === "fine" && of.body.review && ` · ${text.review(dayShort(of.body.review))}`}
      </p>
      <div class="row">
        <Offer kind="card" owner={of.body.owner}><Button icon="edit" href={`/cards/${of.id}/edit`}>{text.edit}</Button></Offer>
        <Button icon="history" href={`/cards/${of.id}/history`}>{text.history}</Button>
        <Button icon="branch" href={`/cards/${of.id}/compare`}>{text.compare}</Button>
        <Button icon="print" href={`/cards/${of.id}/paper`}>{textPaper.print}</Button>
        {(of.proposals?.length ?? 0) + (of.answered?.length ?? 0) > 0 && <Button icon="person" href={`/proposals?card=${of.id}`}>{textProposals.title}</Button>}
      </div>
      {reviewState(of.body) === "over" && of.body.review && <Caution>{text.reviewPassed(nameOf(of.body.owner))}</Caution>}
    </div>
  );
}

function age(at: string): string {
  const days = daysSince(at.slice(0, 10));
  return days <= 0 ? text.ageToday : text.ageDays(days);
}
