import { useEffect, useMemo, useState } from "preact/hooks";
import type { Card, View } from "../generated/types";
import { Button, Caution, dayShort, EmptyState, Icon, Link, Note, Screen, Tag, Time } from "../parts";
import { go, route } from "../router";
import { doc, iMay, me, NotKept, revision, type Doc } from "../state";
import { text } from "../text";
import { textCompare as words } from "../text-compare";
import { NoCard } from "./card";
import { techniqueOf } from "./cardwords";
import "./card.css";
import "./cards.css";
import { Choose } from "./comparechoice";
import "./compare.css";
import { compareCards, counted, isSame, markedLines, type Compared, type Group, type Line, type Part } from "./comparing";
import { Select } from "./edit/fields";
import { nameOf } from "./people";

/** Two cards, or two revisions of one, side by side; where the other one is not named yet, the choice of it. */
export function Compare() {
  const [, a = "", , b] = route.value.parts;
  const here = doc<Card>("card", a);
  if (!here) return <NoCard />;
  if (!b) return <Choose of={here} />;
  const there = doc<Card>("card", b);
  const back = { href: `/cards/${here.id}`, label: here.body.title };
  if (!there) return <Screen title={words.title} back={back}><EmptyState title={words.missing} action={<Button href={`/cards/${here.id}/compare`}>{words.another}</Button>} /></Screen>;
  return <Two here={here} there={there} />;
}

/** One of the two as it is read: at which revision, or why it cannot be. */
interface Read {
  of: Doc<Card>;
  /** 0: as it stands now. */
  rev: number;
  is?: Compared;
  problem?: string;
}

function askedRevision(side: "here" | "there", of: Doc<Card>): number {
  const rev = Number(route.value.query.get(side));
  return of.history.some((h) => h.rev === rev) && !(rev === of.rev && of.waiting === 0) ? rev : 0;
}

function useSide(of: Doc<Card>, rev: number): Read {
  const [old, setOld] = useState<{ of: string; is?: { body: Card; view?: View }; problem?: string }>({ of: "" });
  const key = `${of.id}/${rev}`;
  useEffect(() => {
    if (rev === 0) return;
    let gone = false;
    revision("card", of.id, rev).then(
      (is) => { if (!gone) setOld({ of: key, is }); },
      (e: unknown) => { if (!gone) setOld({ of: key, problem: e instanceof NotKept || e instanceof Error ? e.message : text.revisionAway }); },
    );
    return () => { gone = true; };
  }, [key]);
  return useMemo(() => {
    const found = rev === 0 ? { body: of.body, ...(of.view && { view: of.view }) } : old.of === key ? old.is : undefined;
    if (found?.view) return { of, rev, is: { body: found.body, view: found.view, questions: rev === 0 ? of.questions : [] } };
    const problem = found ? words.noView : old.of === key ? old.problem : undefined;
    return { of, rev, ...(problem !== undefined && { problem }) };
  }, [of, rev, old, key]);
}

function Two({ here: a, there: b }: { here: Doc<Card>; there: Doc<Card> }) {
  const here = useSide(a, askedRevision("here", a));
  const there = useSide(b, askedRevision("there", b));
  const parts = useMemo(() => here.is && there.is && compareCards(here.is, there.is, (id) => doc<Card>("card", id)?.body.title ?? id, nameOf), [here, there]);
  return (
    <Screen title={words.title} back={{ href: `/cards/${a.id}`, label: a.body.title }} wide>
      <div class="compare-heads">
        <Head side="here" of={here} other={there} />
        <Head side="there" of={there} other={here} />
      </div>
      <div class="row compare-foot">
        <Button icon="branch" href={`/cards/${a.id}/compare`}>{words.another}</Button>
        <Button href={address(there, here)}>{words.swap}</Button>
      </div>
      {parts ? <Differences parts={parts} here={here} there={there} /> : !here.problem && !there.problem && <p class="quiet">{text.reading}</p>}
    </Screen>
  );
}

function address(here: Pick<Read, "of" | "rev">, there: Pick<Read, "of" | "rev">): string {
  const asked = [here.rev > 0 && `here=${here.rev}`, there.rev > 0 && `there=${there.rev}`].filter(Boolean).join("&");
  return `/cards/${here.of.id}/compare/${there.of.id}${asked && `?${asked}`}`;
}

/** Whose it is, which revision and from when; and the way to a card of one's own. */
function Head({ side, of: read, other }: { side: "here" | "there"; of: Read; other: Read }) {
  const { of, rev } = read;
  const body = read.is?.body ?? of.body;
  const entry = of.history.find((h) => h.rev === (rev || of.rev));
  const older = of.history.filter((h) => h.rev !== of.rev || of.waiting > 0).reverse();
  const choose = (chosen: string) => {
    const next = { of, rev: Number(chosen) };
    go(side === "here" ? address(next, other) : address(other, next));
  };
  return (
    <section class="compare-head" aria-label={words[side]}>
      <p class="quiet">{words[side]}</p>
      <h2><Link href={rev === 0 ? `/cards/${of.id}` : `/cards/${of.id}/history?revision=${rev}`}>{body.title}</Link></h2>
      <p>{words.whose(nameOf(body.owner), techniqueOf(body))}</p>
      <p>{rev === 0 ? words.now(of.rev) : text.revision(rev)}{entry && <>, <Time at={entry.at} /> {text.changedBy(nameOf(entry.by))}</>}</p>
      {rev === 0 && of.waiting > 0 && <p><Tag kind="accent" icon="waiting">{words.waits}</Tag></p>}
      {read.problem && <Caution>{read.problem}</Caution>}
      {older.length > 0 && (
        <Select label={words.which} value={rev === 0 ? "" : String(rev)} none={words.now(of.rev)} onChange={choose}
          options={older.map((h) => ({ value: String(h.rev), label: words.older(h.rev, dayShort(h.at)) }))} />
      )}
      {rev === 0 && of.body.owner !== me.value && iMay("card", me.value ?? undefined) && <div><Button icon="plus" href={`/cards/new?from=${of.id}`}>{words.startOwn}</Button></div>}
    </section>
  );
}

function Differences({ parts, here, there }: { parts: readonly Part[]; here: Read; there: Read }) {
  const { differ, same } = counted(parts);
  return (
    <>
      <p role="status"><strong>{differ === 0 ? words.alike : words.counts(differ, same)}</strong></p>
      {[here, there].map((s, i) => s.is && s.is.questions.length > 0 && <Caution key={i}>{words.questions(s.is.questions.length, words[i === 0 ? "here" : "there"])}</Caution>)}
      <Machines here={here.is?.body} there={there.is?.body} />
      <nav class="jump" aria-label={text.onThisPage}>
        {parts.map((p) => <a key={p.id} href={`#compare-${p.id}`}>{p.title}</a>)}
      </nav>
      {parts.map((p) => (
        <section key={p.id} class="compare-part" aria-labelledby={`compare-${p.id}`}>
          <h2 id={`compare-${p.id}`} tabIndex={-1}>{p.title}</h2>
          {p.groups.map((g, i) => <OneGroup key={i} of={g} part={p.title} />)}
        </section>
      ))}
    </>
  );
}

function Machines({ here, there }: { here: Card | undefined; there: Card | undefined }) {
  const [a, b] = [here?.machine.profile ?? "", there?.machine.profile ?? ""];
  if (a === b) return <Note>{words.limitsNote}</Note>;
  return <Caution>{words.otherMachine(a || words.noMachine, b || words.noMachine)}</Caution>;
}

function OneGroup({ of, part }: { of: Group; part: string }) {
  const same = of.lines.filter(isSame);
  const only = onlySide(of.lines);
  const alike = same.length === of.lines.length; // then the fold alone says what it is
  return (
    <div class="compare-group">
      {of.title && !alike && <h3>{of.title}{only && <> <How of={only} /></>}</h3>}
      {of.lines.filter((l) => !isSame(l)).map((l, i) => <OneLine key={l.label + i} of={l} />)}
      {same.length > 0 && (
        <details class="compare-same">
          <summary>{alike && of.title ? words.sameIn(of.title, same.length) : <span>{words.same(same.length)}<span class="hidden-visually"> ({of.title || part})</span></span>}</summary>
          <dl>{same.map((l, i) => [<dt key={`t${i}`}>{l.label}</dt>, <dd key={`d${i}`}>{l.here}</dd>])}</dl>
        </details>
      )}
    </div>
  );
}

type Way = "differs" | "onlyHere" | "onlyThere";

function way(l: Line): Way {
  return l.there === null ? "onlyHere" : l.here === null ? "onlyThere" : "differs";
}

/** The side on which alone all of a group stands. */
function onlySide(lines: readonly Line[]): Way | null {
  const ways = new Set(lines.map((l) => (isSame(l) ? "differs" : way(l))));
  const [first] = ways;
  return ways.size === 1 && first !== "differs" ? first ?? null : null;
}

/** How two values stand to each other, by a shape and a word. */
function How({ of }: { of: Way }) {
  return <span class="compare-how"><Icon name={of === "differs" ? "branch" : of === "onlyHere" ? "back" : "forward"} /> {words[of]}</span>;
}

function OneLine({ of }: { of: Line }) {
  return (
    <div class="compare-line" role="group" aria-label={of.label}>
      <p class="compare-label"><strong>{of.label}</strong><How of={way(of)} /></p>
      <Side side="here" says={of.here} other={of.there} />
      <Side side="there" says={of.there} other={of.here} />
    </div>
  );
}

function Side({ side, says, other }: { side: "here" | "there"; says: string | null; other: string | null }) {
  const lines = markedLines(says ?? "", other);
  const marked = other !== null && lines.length > 1; // a value of one line differs as a whole, which its label says
  return (
    <div class="compare-side">
      <span class="compare-who">{words[side]}</span>
      {says === null ? <span class="quiet">{words.notThere}</span> : (
        <ul role="list" class={marked ? "compare-text compare-marked" : "compare-text"}>
          {lines.map((l, i) => (
            <li key={i} class={l.differs ? "compare-differs" : undefined}>{l.differs && marked && <Icon name="forward" label={text.differs} />}{l.text}</li>
          ))}
        </ul>
      )}
    </div>
  );
}
