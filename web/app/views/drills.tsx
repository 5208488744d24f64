import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Opens, Trigger, TriggerSheet } from "../generated/types";
import { Button, Icon, Link, passToast, Tag, unbroken } from "../parts";
import { Because } from "../parts/because";
import { route } from "../router";
import { docs, type OpenQuestion, type SheetUse } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { DrillClockButtons, DrillTime, openClock } from "./drillclock";
import { DrillNote } from "./drillnote";
import { sentence } from "./names";
import { drillOpened, standing } from "./standing";
import { cardQuestion, Unresolved } from "./unresolved";
import "./drills.css";

const words = textCase.drills;
const more = textAloud.ifs;
const roles = ["surgeon", "scrub", "circulating", "anaesthesia"] as const;

/** What to do if the eye does not behave. Everything comes from the sheet on this device. */
export function Drills({ use }: { use: SheetUse }) {
  const key = route.value.parts[3];
  const base = `/sheet/${use.caseId}/if`;
  const chosen = use.sheet.triggers.find((t) => t.trigger.key === key);
  useEffect(drillOpened, []);
  return (
    <>
      <BackToPause use={use} />
      {chosen ? <Drill key={key} use={use} sheet={chosen} base={base} /> : <Triggers use={use} triggers={use.sheet.triggers} base={base} missing={key !== undefined} />}
    </>
  );
}

/** The pause that was left for a drill waits at its line. */
function BackToPause({ use }: { use: SheetUse }) {
  const s = standing.value;
  if (!s || s.caseId !== use.caseId) return null;
  return <div><Button big icon="back" href={`/sheet/${s.caseId}/aloud?pause=${encodeURIComponent(s.pause)}`}>{textAloud.run.back(sentence(s.pause), s.line + 1)}</Button></div>;
}

interface TriggersProps {
  /** The sheet they are on; null for the unit's own alone. */
  use: SheetUse | null;
  triggers: readonly TriggerSheet[];
  base: string;
  /** The address names a trigger that is not among them. */
  missing?: boolean;
}

/** The list of triggers: those that this case makes more likely come first. */
export function Triggers({ use, triggers, base, missing }: TriggersProps) {
  const list = [...triggers.filter((t) => t.raised), ...triggers.filter((t) => !t.raised)];
  return (
    <div class="drills">
      {missing && <p role="status">{words.missing}</p>}
      {list.length === 0 && <p>{words.none}</p>}
      <ul role="list">
        {list.map((t) => (
          <li key={t.trigger.key}>
            <Link href={`${base}/${t.trigger.key}`} class="drill-row">
              <span class="drill-row-words">
                <strong>{t.trigger.title}</strong>
                <span class="drill-row-seen">{unbroken(t.trigger.seen)}</span>
                {drillQuestion(use, t) && <Tag kind="stop">{textCase.limits.unresolved}</Tag>}
                {t.raised && <Tag kind="caution">{words.raised}</Tag>}
                {t.raised && <Because why={t.why.filter((w) => w.from !== "card").slice(0, 1)} />}
              </span>
              <Icon name="forward" large />
            </Link>
          </li>
        ))}
      </ul>
    </div>
  );
}

/** The open question about a drill of the card. A drill of the unit's is none of the card's. */
function drillQuestion(use: SheetUse | null, t: TriggerSheet): OpenQuestion | undefined {
  return !use || fromUnit(t) ? undefined : cardQuestion(use, `triggers/${t.trigger.key}`);
}

function fromUnit(t: TriggerSheet): boolean {
  return t.why.some((w) => w.from === "unit drill");
}

/** Whether a drill is text to start from: the unit's own book, or a source that says so. */
function isStarter(t: TriggerSheet): boolean {
  return fromUnit(t) || /\bstarter\b/i.test(t.trigger.source ?? "");
}

/** One drill: what to say, what to open, and what each role does in order. */
export function Drill({ use, sheet, base }: { use: SheetUse | null; sheet: TriggerSheet; base: string }) {
  const t = sheet.trigger;
  const question = drillQuestion(use, sheet);
  const clock = `${use?.caseId ?? ""}/${t.key}`;
  useState(() => openClock(clock)); // before anything is drawn
  const heading = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => {
    passToast(); // a word about what was kept before would lie over what is to be done now
    heading.current?.focus({ preventScroll: true });
  }, []);
  return (
    <article class="drill">
      <div class="drill-top">
        <h2 ref={heading} tabIndex={-1}>{t.title}</h2>
        <DrillTime of={clock} />
      </div>
      {question ? <Unresolved stop question={question}>{words.unresolved}</Unresolved> : <Said of={t} />}
      <OpenNow use={use} sheet={sheet} />
      {!question && <Roles of={t} />}
      {!question && <Next trigger={t} />}
      <div class="row">
        {use && <DrillNote use={use} trigger={t} clock={clock} />}
        <DrillClockButtons of={clock} />
        <Button icon="back" big href={base}>{words.all}</Button>
      </div>
      <p class="quiet">{[isStarter(sheet) ? words.starter : words.lead, t.source && textCase.source(t.source)].filter(Boolean).join(" ")}</p>
    </article>
  );
}

function Said({ of: t }: { of: Trigger }) {
  return (
    <>
      <p class="drill-say"><span class="drill-label">{words.say}</span>{unbroken(t.say)}</p>
      <p class="drill-seen"><span class="drill-label">{words.seen}</span>{unbroken(t.seen)}</p>
    </>
  );
}

function Roles({ of: t }: { of: Trigger }) {
  return (
    <div class="drill-roles">
      {roles.filter((r) => (t[r] ?? []).length > 0).map((r) => (
        <section key={r} class="drill-role" aria-label={words.who[r]}>
          <h3>{words.who[r]}</h3>
          <ol>{t[r]?.map((line) => <li key={line}>{unbroken(line)}</li>)}</ol>
        </section>
      ))}
    </div>
  );
}

/** What is to be opened, large. Without a sheet nobody can say where it is. */
function OpenNow({ use, sheet }: { use: SheetUse | null; sheet: TriggerSheet }) {
  const keys = use ? [] : sheet.trigger.open ?? [];
  const opens = sheet.opens ?? [];
  if (keys.length + opens.length === 0) return null;
  return (
    <section aria-label={words.opens}>
      <h3>{words.opens}</h3>
      <ul role="list" class="drill-opens">
        {opens.map((o) => <Open key={o.key} opens={o} unresolved={use !== null && isOpen(use, o)} />)}
        {keys.map((k) => <li key={k} class="drill-open"><strong>{sentence(k.replaceAll("-", " "))}</strong></li>)}
      </ul>
      {keys.length > 0 && <p class="quiet">{more.opensNoSheet}</p>}
    </section>
  );
}

/** Two people changed what the drill opens. */
function isOpen(use: SheetUse, { key }: Opens): boolean {
  return (cardQuestion(use, `items/${key}`) ?? cardQuestion(use, `drugs/${key}`)) !== undefined;
}

/** An item that is not in the room is the one thing to see before it is needed. */
function Open({ opens, unresolved }: { opens: Opens; unresolved: boolean }) {
  return (
    <li class="drill-open">
      <strong>{opens.name}</strong>
      {unresolved && <Tag kind="stop">{words.opensUnresolved}</Tag>}
      {opens.state ? <Tag>{words.opensState[opens.state]}</Tag> : <Tag kind="stop">{words.opensMissing}</Tag>}
    </li>
  );
}

function Next({ trigger }: { trigger: Trigger }) {
  if (!trigger.next && !trigger.next_card) return null;
  const card = trigger.next_card ? docs.value.get(`card/${trigger.next_card}`) : undefined;
  return (
    <section aria-label={words.next}>
      <h3>{words.next}</h3>
      {trigger.next && <p class="drill-next">{unbroken(trigger.next)}</p>}
      {trigger.next_card && <Button big icon="cards" href={`/cards/${trigger.next_card}`}>{words.nextCard(card?.body.title ?? trigger.next_card)}</Button>}
    </section>
  );
}
