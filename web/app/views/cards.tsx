import type { ComponentChild } from "preact";
import { useState } from "preact/hooks";
import type { Card } from "../generated/types";
import { said, tongue } from "../lang/said";
import { Button, dayShort, EmptyState, Icon, Link, Screen, Tag, TextField, Time } from "../parts";
import { docsOf, me, status, type Doc, type Person } from "../state";
import { text } from "../text";
import { textProposals } from "../text-proposals";
import "./cards.css";
import { reviewState, techniqueOf } from "./cardwords";
import { Offer } from "./offer";
import { nameOf } from "./people";
import { ProposalNotice } from "./proposalnotice";

// The search survives a look at a card and the way back.
let lastSearch = "";

/** Every card, by surgeon. */
export function Cards() {
  const [search, setSearch] = useState(lastSearch);
  const cards = docsOf<Card>("card");
  const found = cards.filter((c) => fits(c.body, search));
  const change = (words: string) => { lastSearch = words; setSearch(words); };
  const newCard = <Offer kind="card" owner={me.value ?? undefined}><Button kind="primary" icon="plus" href="/cards/new">{text.newCard}</Button></Offer>;
  if (cards.length === 0) return <Screen title={text.cardsTitle}><NoCards action={newCard} /></Screen>;
  return (
    <Screen title={text.cardsTitle} wide>
      <ProposalNotice />
      <div class="cards-search" role="search">
        {newCard}
        <TextField label={text.cardSearch} hint={text.cardSearchHint} type="search" value={search} onChange={change} />
        <p class="quiet" role="status" aria-live="polite">{search && text.cardsFound(found.length)}</p>
      </div>
      {found.length === 0 && <div class="row"><p>{text.noneFound}</p><Button onClick={() => change("")}>{text.clearSearch}</Button></div>}
      <div class="cards-groups">
        {bySurgeon(found).map(([owner, list]) => (
          <section key={owner} aria-label={nameOf(owner)} class="cards-group">
            <h2>{nameOf(owner)}{owner === me.value && <span class="quiet"> · {text.yours}</span>}</h2>
            <ul role="list" class="cards-list">{list.map((c) => <CardRow key={c.id} of={c} />)}</ul>
          </section>
        ))}
      </div>
    </Screen>
  );
}

/** Before the first card somebody must be there whose it is. */
function NoCards({ action }: { action: ComponentChild }) {
  const neverRead = status.value.asOf === null;
  const noSurgeon = !docsOf<Person>("person").some((p) => p.body.roles.includes("surgeon"));
  if (neverRead) return <EmptyState title={text.noDataTitle} help="no-network"><p>{text.noData}</p></EmptyState>;
  if (!noSurgeon) return <EmptyState title={text.noCardsTitle} action={action} help="surgeon"><p>{text.noCards}</p></EmptyState>;
  return (
    <EmptyState title={text.noCardsTitle} action={<Button href="/office/people">{text.toPeople}</Button>} help="unit-lead">
      <p>{text.noCardsNoSurgeon}</p>
    </EmptyState>
  );
}

/** Every word asked for must begin somewhere in the card's names. */
function fits(c: Card, search: string): boolean {
  const hay = `${c.title} ${techniqueOf(c)} ${said(techniqueOf(c))} ${nameOf(c.owner)} ${c.machine.profile ?? ""}`.toLowerCase();
  return search.toLowerCase().split(/\s+/).every((word) => hay.includes(word));
}

/** Surgeons by name; whoever is editing on this device stands first. */
function bySurgeon(cards: readonly Doc<Card>[]): [string, Doc<Card>[]][] {
  const groups = new Map<string, Doc<Card>[]>();
  for (const c of cards) groups.set(c.body.owner, [...(groups.get(c.body.owner) ?? []), c]);
  const rank = (owner: string) => (owner === me.value ? "0" : "1" + nameOf(owner));
  const sorted = [...groups].sort(([a], [b]) => rank(a).localeCompare(rank(b), tongue.value.locale));
  return sorted.map(([owner, list]) => [owner, list.sort((a, b) => a.body.title.localeCompare(b.body.title, tongue.value.locale))]);
}

function CardRow({ of }: { of: Doc<Card> }) {
  const c = of.body;
  const newest = of.history[of.history.length - 1];
  return (
    <li class="cards-one">
      <Link href={`/cards/${of.id}`} class="cardrow">
        <span class="cardrow-words">
          <span class="cardrow-title">{c.title}</span>
          <CardMarks of={of} />
          <span class="quiet">
            {techniqueOf(c)} · {text.revision(of.rev)}{newest && <> · <Time at={newest.at} /></>}
          </span>
        </span>
        <Icon name="forward" />
      </Link>
      {c.owner === me.value && <Button kind="quiet" icon="edit" href={`/cards/${of.id}/edit`} label={text.editOf(c.title)} />}
    </li>
  );
}

/** What must be known before any number is read: open questions, edits that wait, a review that is due. */
export function CardMarks({ of }: { of: Doc<Card> }) {
  const review = reviewState(of.body);
  const due = of.body.review ? dayShort(of.body.review) : "";
  const questions = of.questions.length;
  const proposals = of.proposals?.length ?? 0;
  if (questions === 0 && proposals === 0 && of.waiting === 0 && review !== "over" && review !== "soon") return null;
  return (
    <span class="row">
      {questions > 0 && <Tag kind="stop" icon="question">{text.openQuestions(questions)}</Tag>}
      {of.waiting > 0 && <Tag kind="accent" icon="waiting">{text.editsWaiting(of.waiting)}</Tag>}
      {proposals > 0 && <Tag icon="person">{textProposals.waits(proposals)}</Tag>}
      {review === "over" && <Tag kind="caution">{text.reviewOver(due)}</Tag>}
      {review === "soon" && <Tag icon="history">{text.reviewSoon(due)}</Tag>}
    </span>
  );
}
