import { Button, Caution, dayInWords, EmptyState, Icon, Link, Screen, Tag, timeInWords, today } from "../parts";
import { route } from "../router";
import type { Card, Case } from "../generated/types";
import { doc, docsOf, sheetUse, status, type Doc, type SheetUse } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { allergiesOf, allergyFirst } from "./allergy";
import { factsInShort } from "./facts";
import { cardName } from "./cardwords";
import { FirstSteps } from "./firststeps";
import { newerThan } from "./newer";
import { OwnCards } from "./owncards";
import { tally } from "./pause";
import { nameOf } from "./people";
import { Offer } from "./offer";
import { ProposalNotice } from "./proposalnotice";
import { layoutKeys } from "./setup";
import "./today.css";

/** The list of the day in its order. */
export function Today() {
  const lists = listDays();
  const day = chosenDay(lists);
  const cases = day ? casesOf(day) : [];
  const newCase = <Offer kind="case"><Button kind="primary" icon="plus" href="/case/new">{text.newCase}</Button></Offer>;
  return (
    <Screen title={text.todayTitle}>
      <OwnCards />
      <ProposalNotice />
      <FirstSteps />
      {!day && <NoList action={newCase} />}
      {day && day !== today() && <Caution>{text.notToday(dayInWords(day))}</Caution>}
      {day && (
        <section class="stack" aria-labelledby="list-head">
          <div class="row-apart">
            <h2 id="list-head">{text.listOf(dayInWords(day))}</h2>
            <div class="row">
              <Button icon="today" href={`/list/${day}/setup`}>{text.wholeList}</Button>
              {newCase}
            </div>
          </div>
          <ol role="list" class="list">{cases.map((c) => <CaseRow key={c.id} of={c} />)}</ol>
        </section>
      )}
      {lists.length > 1 && <OtherLists lists={lists.filter((d) => d !== day)} />}
    </Screen>
  );
}

function NoList({ action }: { action: preact.ComponentChild }) {
  const neverRead = status.value.asOf === null && docsOf("card").length === 0;
  return (
    <EmptyState title={neverRead ? text.noDataTitle : text.noListTitle} action={!neverRead && action} help={neverRead ? "no-network" : "scrub-nurse"}>
      <p>{neverRead ? text.noData : text.noList}</p>
    </EmptyState>
  );
}

function OtherLists({ lists }: { lists: readonly string[] }) {
  return (
    <details class="list-others">
      <summary>{text.otherLists}</summary>
      <ul role="list" class="row">
        {lists.map((d) => <li key={d}><Button href={`/?list=${d}`}>{dayInWords(d)}</Button></li>)}
      </ul>
    </details>
  );
}

/** Days that have a list, newest first. */
function listDays(): string[] {
  const days = docsOf<Case>("case").filter((c) => !c.body.removed).map((c) => c.body.list);
  return [...new Set(days)].sort().reverse();
}

/** The day asked for; else today; else the newest that is not ahead; else the next one. */
function chosenDay(lists: readonly string[]): string | undefined {
  const asked = route.value.query.get("list");
  if (asked && lists.includes(asked)) return asked;
  return lists.find((d) => d <= today()) ?? lists[lists.length - 1];
}

function casesOf(day: string): Doc<Case>[] {
  return docsOf<Case>("case")
    .filter((c) => c.body.list === day && !c.body.removed)
    .sort((a, b) => a.body.position - b.body.position);
}

function CaseRow({ of }: { of: Doc<Case> }) {
  const { id, body } = of;
  const card = doc<Card>("card", body.card);
  const use = sheetUse(id).value;
  const eye = [body.facts?.eye].flat()[0];
  const eyeOpen = of.questions.some((q) => q.unit === "facts/eye");
  return (
    <li class="case">
      <Link href={`/sheet/${id}/setup`} class="case-main">
        <Ring position={body.position} use={use} />
        <span class="case-words">
          <span class="case-eye">{eyeOpen ? <Tag kind="stop">{text.eyeOpen}</Tag> : eye && eye !== "not known" ? eye : <Tag kind="notknown">{text.eyeMissing}</Tag>}</span>
          <span class="case-card">{nameOf(body.surgeon)}<br />{card ? cardName(card.body) : text.cardMissing}</span>
          <Allergies of={body} />
          <Special use={use} of={body} />
          <SheetState use={use} of={of} />
        </span>
      </Link>
      <Link href={`/case/${id}`} class="case-facts" label={text.factsOf(body.position)}>
        <Icon name="edit" /><span>{text.facts}</span>
      </Link>
    </li>
  );
}

/** How much of what can be laid out is. */
function laidOut({ sheet, ticks }: SheetUse): { done: number; of: number } {
  const keys = layoutKeys(sheet);
  return { done: keys.filter((k) => ticks[k]).length, of: keys.length };
}

/** The place on the list inside the mark's circle; the circle closes as the set-up is ticked. */
function Ring({ position, use }: { position: number; use: SheetUse | null }) {
  const { done, of } = use ? laidOut(use) : { done: 0, of: 0 };
  const share = of ? done / of : 0;
  return (
    <svg class="ring" viewBox="0 0 64 64" role="img" aria-label={text.caseLine(position)}>
      <circle class="ring-track" cx="32" cy="32" r="27" />
      {share > 0 && <circle class="ring-done" cx="32" cy="32" r="27" pathLength="100" stroke-dasharray={`${share * 100} 100`} transform="rotate(-90 32 32)" />}
      <text x="32" y="33">{position}</text>
    </svg>
  );
}

/** By shape and word, with a sheet and without one, as the case says it now. */
function Allergies({ of }: { of: Case }) {
  const allergies = allergiesOf(of);
  return allergies.length > 0 ? <span class="case-allergy"><Tag kind="caution">{textCase.setup.allergy(allergies.join(", "))}</Tag></span> : null;
}

/** Stops first, as the sheet has them; among the cautions those about an allergy. */
function specialOf({ sheet }: SheetUse) {
  const list = sheet.special ?? [];
  return [...list.filter((s) => s.weight === "stop"), ...allergyFirst(list.filter((s) => s.weight !== "stop"))];
}

function Special({ use, of }: { use: SheetUse | null; of: Case }) {
  if (use) {
    const special = specialOf(use);
    if (special.length === 0) return null;
    return (
      <span class="case-special">
        {special.slice(0, 3).map((s) => (
          <span key={s.text} class={`case-weight-${s.weight}`}>
            <Icon name={s.weight} label={s.weight === "stop" ? text.stop : text.caution} /> <span>{s.text}</span>
          </span>
        ))}
        {special.length > 3 && <span class="quiet">{text.more(special.length - 3)}</span>}
      </span>
    );
  }
  const facts = factsInShort(of);
  return facts.length > 0 ? <span class="case-short">{facts.join(" · ")}</span> : null;
}

function SheetState({ use, of }: { use: SheetUse | null; of: Doc<Case> }) {
  if (!use) return <span class="case-state"><Tag icon="plus">{text.sheetNone}</Tag><Marks of={of} /></span>;
  const { done, of: all } = laidOut(use);
  const unknown = use.sheet.not_known?.length ?? 0;
  return (
    <span class="case-state">
      <Tag kind={done === all && all > 0 ? "ok" : "plain"} icon={done === all ? "tick" : "tray"}>{text.ticksOf(done, all)}</Tag>
      <Pauses use={use} />
      {unknown > 0 && <Tag kind="notknown">{text.notKnownFacts(unknown)}</Tag>}
      <Marks of={of} />
      {newerThan(use)?.parts.map((p) => <Tag key={p.text} kind="accent" icon="history">{p.text}</Tag>)}
      <span class="quiet">{text.sheetMade(timeInWords(use.madeAt))}</span>
    </span>
  );
}

/** Which pauses were read to the end, which of them with lines that were not done, and the one that was begun. */
function Pauses({ use }: { use: SheetUse }) {
  const all = use.sheet.pauses.map((p) => ({ name: p.id, ...tally(p, use.answers) })).filter((p) => p.of > 0);
  const ended = all.filter((p) => p.finished && p.begun);
  const done = ended.filter((p) => p.notDone === 0);
  const begun = all.filter((p) => p.begun && !p.finished);
  return (
    <>
      {done.length > 0 && <Tag kind="ok">{text.pausesDone(done.map((p) => p.name).join(", "))}</Tag>}
      {ended.filter((p) => p.notDone > 0).map((p) => <Tag key={p.name} kind="caution" icon="caution">{text.pauseNotDone(p.name, p.notDone)}</Tag>)}
      {begun.map((p) => <Tag key={p.name} icon="aloud">{text.pauseBegun(p.name, p.done, p.of)}</Tag>)}
    </>
  );
}

/** What has to be known about the case itself. */
function Marks({ of }: { of: Doc<Case> }) {
  const open = of.questions.length;
  return (
    <>
      {open > 0 && <Tag kind="stop" icon="question">{text.openQuestions(open)}</Tag>}
      {of.waiting > 0 && <Tag kind="accent" icon="waiting">{text.notOnServer}</Tag>}
    </>
  );
}
