import { useEffect } from "preact/hooks";
import type { Card } from "../generated/types";
import { Button, EmptyState, Link, Note, Screen, Tag, Time } from "../parts";
import { route } from "../router";
import { docsOf, me, type Doc, type ProposalAnswer, type ShownProposal } from "../state";
import { text } from "../text";
import { textProposals } from "../text-proposals";
import { unbroken } from "./names";
import { nameOf } from "./people";
import { Answering } from "./proposalanswer";
import { lookedAt } from "./proposalnotice";
import "./waiting.css";

const words = textProposals;
const mostAnswered = 30;

interface Open {
  of: Doc<Card>;
  p: ShownProposal;
}

interface Closed {
  of: Doc<Card>;
  a: ProposalAnswer;
}

/** What waits for the owners, the answers to it, and for an owner the means to answer. Of one card or of all. */
export function Proposals() {
  const only = route.value.query.get("card");
  const cards = docsOf<Card>("card").filter((c) => !only || c.id === only);
  const open = cards.flatMap((of) => (of.proposals ?? []).map((p) => ({ of, p })));
  const mine = open.filter((o) => o.of.body.owner === me.value);
  const others = open.filter((o) => o.of.body.owner !== me.value && (only !== null || o.p.by === me.value));
  const closed = cards.flatMap((of) => (of.answered ?? []).map((a) => ({ of, a })))
    .filter(({ of, a }) => only !== null || a.by === me.value || of.body.owner === me.value)
    .sort((x, y) => (x.a.at < y.a.at ? 1 : -1));
  useEffect(() => lookedAt(), [closed.length]);
  const card = only ? cards[0] : undefined;
  return (
    <Screen title={card ? words.titleOf(card.body.title) : words.title} back={card ? { href: `/cards/${card.id}`, label: card.body.title } : { href: "/cards", label: text.cardsTitle }}>
      {mine.length + others.length + closed.length === 0 && <EmptyState title={words.none} help="surgeon"><p>{words.noneWhy}</p></EmptyState>}
      <OpenList id="proposals-mine" title={words.forYou} lead={words.forYouLead} list={mine} />
      <OpenList id="proposals-waiting" title={words.waiting} lead={words.waitingLead} list={others} />
      {closed.length > 0 && (
        <section class="stack" aria-labelledby="proposals-answered">
          <h2 id="proposals-answered">{words.answered}</h2>
          <ul role="list" class="stack">{closed.slice(0, mostAnswered).map((c) => <li key={c.a.proposal}><ClosedPart {...c} /></li>)}</ul>
        </section>
      )}
    </Screen>
  );
}

function OpenList({ id, title, lead, list }: { id: string; title: string; lead: string; list: Open[] }) {
  if (list.length === 0) return null;
  return (
    <section class="stack" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <p class="quiet">{lead} {text.historyNames}</p>
      <ul role="list" class="stack">{list.map((o) => <li key={o.p.id}><OpenPart {...o} /></li>)}</ul>
    </section>
  );
}

function OpenPart({ of, p }: Open) {
  const owner = of.body.owner === me.value;
  return (
    <article class="panel waiting-edit" aria-labelledby={`proposal-${p.id}`}>
      <div class="row-apart">
        <h3 id={`proposal-${p.id}`}><Link href={`/cards/${of.id}`}>{of.body.title}</Link></h3>
        {p.waits ? <Tag kind="accent" icon="waiting">{words.notSent}</Tag> : !owner && <Tag icon="person">{words.ownerIs(nameOf(of.body.owner))}</Tag>}
      </div>
      <p><strong>{words.by(nameOf(p.by))}</strong>, <Time at={p.made} />. {words.reasonGiven(p.reason || text.noReason)}</p>
      <Changes list={p.changes} />
      {p.answered ? <Note>{words.answeredHere}</Note>
        : owner ? <Answering of={of} p={p} />
        : p.by === me.value && <div><Button icon="edit" href={`/cards/${of.id}/edit?proposal=${p.id}`}>{words.changeOwn}</Button></div>}
    </article>
  );
}

function ClosedPart({ of, a }: Closed) {
  return (
    <article class="panel waiting-edit" aria-labelledby={`answer-${a.proposal}`}>
      <div class="row-apart">
        <h3 id={`answer-${a.proposal}`}><Link href={`/cards/${of.id}`}>{of.body.title}</Link></h3>
        <Tag kind={a.fate === "accepted" ? "ok" : a.fate === "declined" ? "caution" : "plain"}>{words.fates[a.fate] ?? a.fate}</Tag>
      </div>
      <p>{words.by(nameOf(a.by))}, <Time at={a.made} />. {words.reasonGiven(a.reason || text.noReason)}</p>
      <Changes list={a.changes} />
      <p><strong>{words.fates[a.fate] ?? a.fate}</strong> {words.answeredBy(nameOf(a.answered_by))}, <Time at={a.at} />{a.rev > 0 && <>, {words.inRevision(a.rev)}</>}. {words.why(a.why || text.noReason)}</p>
    </article>
  );
}

function Changes({ list }: { list: readonly string[] }) {
  return (
    <section aria-label={words.changes} class="stack-close">
      <h4>{words.changes}</h4>
      <ul class="waiting-changes">{list.length === 0 ? <li>{words.noChanges}</li> : list.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>
    </section>
  );
}
