import { useEffect, useRef } from "preact/hooks";
import type { Opens, Trigger, TriggerSheet } from "../generated/types";
import { Button, Icon, Link, Tag, unbroken } from "../parts";
import { Because } from "../parts/because";
import { route } from "../router";
import { docs, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { cardQuestion, Unresolved } from "./unresolved";
import "./drills.css";

const words = textCase.drills;
const roles = ["surgeon", "scrub", "circulating", "anaesthesia"] as const;

/** What to do if the eye does not behave. Everything comes from the sheet on this device. */
export function Drills({ use }: { use: SheetUse }) {
  const key = route.value.parts[3];
  const base = `/sheet/${use.caseId}/if`;
  const triggers = [...use.sheet.triggers.filter((t) => t.raised), ...use.sheet.triggers.filter((t) => !t.raised)];
  const chosen = triggers.find((t) => t.trigger.key === key);
  if (chosen) return <Drill key={key} use={use} sheet={chosen} base={base} />;
  return (
    <div class="drills">
      {key && <p role="status">{words.missing}</p>}
      {triggers.length === 0 && <p>{words.none}</p>}
      <ul role="list">
        {triggers.map((t) => (
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
function drillQuestion(use: SheetUse, t: TriggerSheet): OpenQuestion | undefined {
  return fromUnit(t) ? undefined : cardQuestion(use, `triggers/${t.trigger.key}`);
}

function fromUnit(t: TriggerSheet): boolean {
  return t.why.some((w) => w.from === "unit drill");
}

/** Whether a drill is text to start from: the unit's own book, or a source that says so. */
function isStarter(t: TriggerSheet): boolean {
  return fromUnit(t) || /\bstarter\b/i.test(t.trigger.source ?? "");
}

function Drill({ use, sheet, base }: { use: SheetUse; sheet: TriggerSheet; base: string }) {
  const t = sheet.trigger;
  const question = drillQuestion(use, sheet);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus({ preventScroll: true }), []);
  return (
    <article class="drill">
      <h2 ref={heading} tabIndex={-1}>{t.title}</h2>
      {question ? <Unresolved stop question={question}>{words.unresolved}</Unresolved> : <Actions of={t} />}
      {(sheet.opens ?? []).length > 0 && (
        <section aria-label={words.opens}>
          <h3>{words.opens}</h3>
          <ul role="list" class="drill-opens">{sheet.opens?.map((o) => <Open key={o.key} opens={o} unresolved={isOpen(use, o)} />)}</ul>
        </section>
      )}
      {!question && <Next trigger={t} />}
      <p class="quiet">{[isStarter(sheet) ? words.starter : words.lead, t.source && textCase.source(t.source)].filter(Boolean).join(" ")}</p>
      <div><Button icon="back" big href={base}>{words.all}</Button></div>
    </article>
  );
}

/** Two people changed what the drill opens. */
function isOpen(use: SheetUse, { key }: Opens): boolean {
  return (cardQuestion(use, `items/${key}`) ?? cardQuestion(use, `drugs/${key}`)) !== undefined;
}

function Actions({ of: t }: { of: Trigger }) {
  return (
    <>
      <p class="drill-say"><span class="drill-label">{words.say}</span>{unbroken(t.say)}</p>
      <p class="drill-seen"><span class="drill-label">{words.seen}</span>{unbroken(t.seen)}</p>
      <div class="drill-roles">
        {roles.filter((r) => (t[r] ?? []).length > 0).map((r) => (
          <section key={r} class="drill-role" aria-label={words.who[r]}>
            <h3>{words.who[r]}</h3>
            <ol>{t[r]?.map((line) => <li key={line}>{unbroken(line)}</li>)}</ol>
          </section>
        ))}
      </div>
    </>
  );
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
