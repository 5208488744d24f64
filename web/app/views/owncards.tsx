import type { Card, Case, PhaseView, Shown } from "../generated/types";
import { Button, Icon, LimitButton, Link, Tag, today, Value } from "../parts";
import { docsOf, enrolled, iMay, me, waiting, type Doc } from "../state";
import { text } from "../text";
import { CardMarks } from "./cards";
import { beforeAt, changing } from "./changing";
import { hasCardDraft } from "./edit/carddraft";
import { cardsLastWorked } from "./lastworked";
import "./owncards.css";
import { questionsAt } from "./question";

/** More of them stand under Cards. */
const mostShown = 3;

/** The own cards of whoever carries this device, the limits of the one last worked on ready to be changed. Nothing for anybody else. */
export function OwnCards() {
  const who = me.value;
  if (who === null || enrolled.value?.shared !== false) return null;
  const onList = new Set(docsOf<Case>("case").filter(({ body }) => body.list === today() && body.surgeon === who && !body.removed).map(({ body }) => body.card));
  const [first, ...others] = cardsLastWorked(docsOf<Card>("card"), who, onList, waiting.value).slice(0, mostShown);
  if (!first) return null;
  return (
    <section class="own" aria-labelledby="own-cards">
      <div class="own-cards" onFocusIn={wholly}>
        <h2 id="own-cards">{text.ownCards}</h2>
        <Link href={toLimits(first)} class="own-card"><strong>{first.body.title}</strong><Icon name="forward" /></Link>
        {others.map((c) => <Link key={c.id} href={toLimits(c)} class="own-card">{c.body.title}<Asked of={c} /><Icon name="forward" /></Link>)}
      </div>
      <CardMarks of={first} />
      <div class="own-phases">
        {(first.view?.phases ?? []).map((p) => <OwnPhase key={p.key} of={first} phase={p} />)}
      </div>
      {changing.value === null && hasCardDraft(first) && <div><Button icon="edit" href={`/cards/${first.id}/edit`}>{text.draftOpen}</Button></div>}
    </section>
  );
}

/** Nobody decided something of the card, which is known before it is opened. */
function Asked({ of }: { of: Doc<Card> }) {
  const n = of.questions.length;
  return n > 0 ? <Tag kind="stop" icon="question">{text.openQuestions(n)}</Tag> : null;
}

/** A card that the keyboard reaches is drawn into sight; under a finger nothing moves. */
function wholly(e: FocusEvent): void {
  const to = e.target as Element;
  if (to.matches(":focus-visible")) to.scrollIntoView({ block: "nearest", inline: "nearest" });
}

function toLimits(of: Doc<Card>): string {
  return `/cards/${of.id}?at=limits`;
}

function OwnPhase({ of, phase }: { of: Doc<Card>; phase: PhaseView }) {
  const numbers = (phase.values ?? []).filter((v) => v.unit);
  const open = questionsAt(of, `phases/${phase.key}`).length > 0;
  if (numbers.length === 0 && !open) return null;
  return (
    <div class="own-phase" role="group" aria-label={phase.name}>
      <h3>{phase.name}</h3>
      <div class="own-values">
        {open
          ? <Link href={toLimits(of)} class="own-card">{text.questionHead}<Icon name="forward" /></Link>
          : numbers.map((v) => <OwnNumber key={v.id} of={of} phase={phase.key} value={v} />)}
      </div>
    </div>
  );
}

/** A number to change; plain where whoever is at the device may not keep one. */
function OwnNumber({ of, phase, value: v }: { of: Doc<Card>; phase: string; value: Shown }) {
  const at = { card: of.id, phase, limit: v.id };
  if (!iMay("card", of.body.owner)) return <p>{v.label} <Value value={v.value} unit={v.unit} /></p>;
  return <LimitButton of={v} named before={beforeAt(at, v.value)} onPick={() => { changing.value = at; }} />;
}
