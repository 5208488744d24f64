import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { PhaseLimits, Shown, StepLine } from "../generated/types";
import { Button, Caution, Icon, Note, Tag, useFoot, Value, Why } from "../parts";
import { Because, WeightSign } from "../parts/because";
import { type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { heightOfPressure, pressureOfHeight } from "./bottle";
import { PhaseDrawing } from "./drawn";
import { unbroken } from "./names";
import type { Newer } from "./newer";
import { Profile } from "./profile";
import { type Difference, limitsNow, type LimitsNow } from "./sheetdiff";
import { cardQuestion, limitsQuestion, Unresolved } from "./unresolved";
import "./limits.css";

const words = textCase.limits;
const swipePixels = 60;

interface LimitsProps {
  use: SheetUse;
  /** What is newer than this sheet. */
  newer: Newer | null;
  /** What of it would come to stand on this sheet; null until that is known. */
  differing: readonly Difference[] | null;
}

export function Limits({ use, newer, differing }: LimitsProps) {
  const phases = use.sheet.limits;
  const [index, setIndex] = useRemembered(`limits/${use.caseId}`, phases.length);
  const heading = useRef<HTMLHeadingElement>(null);
  const feet = useRef<HTMLDivElement>(null);
  const moved = useRef(false);
  const show = (to: number) => {
    if (to < 0 || to >= phases.length || to === index) return;
    moved.current = true;
    setIndex(to);
  };
  useLayoutEffect(() => {
    if (moved.current) heading.current?.focus({ preventScroll: true });
    uncover(heading.current, feet.current);
  }, [index]);
  useKeys((key) => {
    if (key === "ArrowLeft" || key === "PageUp") show(index - 1);
    if (key === "ArrowRight" || key === "PageDown") show(index + 1);
  });
  const swipe = useSwipe((by) => show(index + by));
  useFoot(feet, phases.length > 0);

  const phase = phases[index];
  if (!phase) return <p>{words.none}</p>;
  const next = phases[index + 1];
  const machineQuestion = cardQuestion(use, "machine/profile");
  return (
    <div class="limitview" {...swipe}>
      <PhaseCard use={use} phase={phase} since={newer && { newer, differing }} heading={heading} count={words.phaseOf(index + 1, phases.length)} />
      <div class="phase-move" ref={feet}>
        <Button big icon="back" disabled={index === 0} onClick={() => show(index - 1)}>{words.previous}{phases[index - 1] && <small>{phases[index - 1]?.name}</small>}</Button>
        <Button big kind="primary" icon="forward" disabled={!next} onClick={() => show(index + 1)}>{words.next}{next && <small>{next.name}</small>}</Button>
      </div>
      <Next next={next} unresolved={next ? limitsQuestion(use, next) !== undefined : false} />
      <Profile use={use} current={index} />
      <details class="phase-all">
        <summary>{words.phases}</summary>
        <div class="phase-list">
          {phases.map((p, i) => (
            <button type="button" key={p.phase} aria-current={i === index ? "step" : undefined} onClick={() => show(i)}>{i + 1}. {p.name}</button>
          ))}
        </div>
      </details>
      {machineQuestion && <Unresolved question={machineQuestion}>{words.machineOpen}</Unresolved>}
      {!machineOf(use) && !machineQuestion && <Caution>{words.noProfile}</Caution>}
    </div>
  );
}

/** What came after the sheet, for the values that it changes. */
type Since = { newer: Newer; differing: readonly Difference[] | null } | null;

function PhaseCard({ use, phase, since, heading, count }: { use: SheetUse; phase: PhaseLimits; since: Since; heading: { current: HTMLHeadingElement | null }; count: string }) {
  const question = limitsQuestion(use, phase);
  const baseOpen = phase.variant !== undefined && cardQuestion(use, `phases/${phase.phase}`) !== undefined;
  const variant = use.sheet.variants?.find((v) => v.key === phase.variant);
  const steps = stepsAt(use, phase);
  return (
    <section class="phase-card" aria-labelledby="phase-name">
      <div class="phase-head">
        <h2 id="phase-name" ref={heading} tabIndex={-1}>{phase.name}</h2>
        <span class="quiet">{count}</span>
        {phase.variant && <Tag kind="accent" icon="branch">{words.variant(variant?.title ?? phase.variant)}</Tag>}
      </div>
      {since && since.differing === null && <p class="phase-newer"><Icon name="history" /> {textCase.sheet.newerTitle}.</p>}
      {question ? <div class="phase-unresolved"><Unresolved question={question}>{words.unresolvedDo}</Unresolved></div> : <Values phase={phase} baseOpen={baseOpen} since={since} />}
      <p class="phase-meant">{words.note} {machineOf(use) && !cardQuestion(use, "machine/profile") && words.profile(machineOf(use))}</p>
      {phase.variant && <p class="phase-note">{words.variantMeant} {variant?.note && unbroken(variant.note)}</p>}
      {!question && baseOpen && <Caution word={words.unresolved}>{words.baseOpen}</Caution>}
      {phase.note && <p class="phase-note">{unbroken(phase.note)}</p>}
      {(phase.cautions ?? []).map((c) => <Caution key={c}>{unbroken(c)}</Caution>)}
      {steps.length > 0 && (
        <div class="phase-steps">
          <h3>{words.steps}</h3>
          <ol>
            {steps.map((s) => <li key={s.key}><StepWords step={s} question={cardQuestion(use, `steps/${s.key}`)} /></li>)}
          </ol>
        </div>
      )}
      <PhaseDrawing key={phase.phase} use={use} phase={phase} />
    </section>
  );
}

/**
 * The steps of a phase. One without a phase of the machine stands nowhere else on the sheet; where it is struck it
 * stands with the phase of the next step that has one, or with the last phase, so that it is seen before it is done.
 */
function stepsAt(use: SheetUse, phase: PhaseLimits): StepLine[] {
  const steps = use.sheet.steps ?? [];
  const last = use.sheet.limits[use.sheet.limits.length - 1]?.phase;
  const at = (i: number) => steps.slice(i).find((s) => s.phase)?.phase ?? last;
  return steps.filter((s, i) => s.phase === phase.phase || (!s.phase && s.struck && at(i) === phase.phase));
}

/** A step; struck where it must not be done in this case, with the word and the reason. */
function StepWords({ step: s, question }: { step: StepLine; question: OpenQuestion | undefined }) {
  if (question) return <><strong>{s.title}</strong><Unresolved question={question}>{textCase.setup.unresolved}</Unresolved></>;
  if (s.struck) {
    return (
      <div class="phase-struck">
        <WeightSign weight="stop" word={textCase.setup.struck[s.struck] ?? s.struck} />
        <div>
          <p><s>{s.title}{s.do && unbroken(`: ${s.do}`)}</s></p>
          <Because why={s.why ?? []} />
          <p>{textCase.setup.struckDo[s.struck]}</p>
          {(s.why ?? []).length > 0 && <Why><Because why={s.why ?? []} whole /></Why>}
        </div>
      </div>
    );
  }
  return (
    <>
      <strong>{s.title}</strong>{s.do && unbroken(`: ${s.do}`)}
      {s.checkpoint && <span class="quiet"> {words.checkpoint}: {unbroken(s.checkpoint)}</span>}
    </>
  );
}

function Values({ phase, baseOpen, since }: { phase: PhaseLimits; baseOpen: boolean; since: Since }) {
  const now = limitsNow(since?.differing ?? [], phase);
  const say = since?.newer.parts.every((p) => p.of === "card") ? words.cardNow : words.now;
  const base = phase.variant && !baseOpen ? phase.base ?? [] : null;
  const gone = (base ?? []).filter((b) => !phase.values.some((v) => v.id === b.id));
  if (phase.values.length === 0) return <><p class="phase-none">{words.noValues}</p><AlsoNow now={now} /></>;
  return (
    <>
      <dl class="phase-values">
        {phase.values.map((v) => {
          const was = base && !sameAs(base.find((b) => b.id === v.id), v);
          return (
            <div key={v.id} class={was || now.changed.has(v.label) ? "phase-value phase-changed" : "phase-value"}>
              <dt>{v.label}</dt>
              <dd>
                <Value {...v} />
                {was && <BaseValue base={base.find((b) => b.id === v.id)} />}
                {now.changed.has(v.label) && <span class="phase-newer"><Icon name="history" /> {say(now.changed.get(v.label) || words.nowNone)}</span>}
                <OtherWay of={v} />
              </dd>
            </div>
          );
        })}
      </dl>
      <AlsoNow now={now} />
      {phase.values.some((v) => otherWay(v) !== null) && <p class="quiet small">{words.noFlow}</p>}
      {gone.length > 0 && <p class="quiet">{words.droppedBase}: {gone.map((g) => `${g.label} ${whole(g)}`).join("; ")}.</p>}
    </>
  );
}

function AlsoNow({ now }: { now: LimitsNow }) {
  return now.added.length === 0 ? null : <p class="phase-newer"><Icon name="history" /> {words.nowAlso}: {now.added.join("; ")}.</p>;
}

function sameAs(base: Shown | undefined, now: Shown): boolean {
  return base !== undefined && base.value === now.value && base.extra === now.extra;
}

/** The card's own value, where the variant changed it. */
function BaseValue({ base }: { base: Shown | undefined }) {
  return <span class="phase-base"><Icon name="branch" /> {base ? words.base(whole(base)) : words.baseNone}</span>;
}

/** A bottle's height as a pressure, or the other way round: machines show the one or the other. */
function OtherWay({ of }: { of: Shown }) {
  const other = otherWay(of);
  return other === null ? null : <span class="phase-base">{other}</span>;
}

function otherWay({ id, value, unit }: Shown): string | null {
  const mmHg = id === "bottle" && unit === "cm" ? pressureOfHeight(value) : null;
  const cm = id === "pressure" && unit === "mmHg" ? heightOfPressure(value) : null;
  return mmHg !== null ? words.ofHeight(mmHg) : cm !== null ? words.ofPressure(cm) : null;
}

function whole(s: Shown): string {
  const value = s.unit ? `${s.value}\u00a0${s.unit}` : s.value;
  return s.extra ? `${value}, ${s.extra}` : value;
}

function Next({ next, unresolved }: { next: PhaseLimits | undefined; unresolved: boolean }) {
  if (!next) return <p class="quiet">{words.last}</p>;
  return (
    <Note word={words.nextIs}>
      <strong>{next.name}</strong>: {unresolved ? words.unresolved : next.values.map((v) => `${v.label} ${whole(v)}`).join(" · ") || words.noValues}
    </Note>
  );
}

/** The open question about the limits that a pause reveals a value of; the core begins it with the name of the phase. */
export function storedLimits(use: SheetUse, stored: string): OpenQuestion | undefined {
  return use.sheet.limits.filter((p) => stored.startsWith(`${p.name}: `)).map((p) => limitsQuestion(use, p)).find((q) => q !== undefined);
}

/** The machine the limits of this sheet were written for; "" where the card names none. */
function machineOf(use: SheetUse): string {
  return use.sheet.basics?.find((b) => b.id === "profile")?.value ?? "";
}

/** Where a bar or the buttons would hide a value, the phase goes up to below the bar: its name and every value are in sight. */
function uncover(heading: HTMLElement | null, feet: HTMLElement | null): void {
  const card = heading?.closest(".phase-card");
  const values = card?.querySelector(".phase-values, .phase-unresolved");
  const bar = document.querySelector(".top");
  if (!card || !values || !feet || !bar || getComputedStyle(feet).position !== "sticky") return;
  const from = bar.getBoundingClientRect().bottom, top = card.getBoundingClientRect().top;
  const hidden = values.getBoundingClientRect().bottom > feet.getBoundingClientRect().top;
  if (hidden || top < from) scrollBy({ top: top - from - breath, behavior: "instant" });
}

/** What stays free between the bar and the phase. */
const breath = 6;

/** The phase somebody was at, kept while the page is open so that a look at another tab does not lose the place. */
const places = new Map<string, number>();

function useRemembered(key: string, length: number): [number, (n: number) => void] {
  const [n, set] = useState(Math.min(places.get(key) ?? 0, Math.max(0, length - 1)));
  return [n, (to) => { places.set(key, to); set(to); }];
}

function useKeys(press: (key: string) => void): void {
  useEffect(() => {
    const listen = (e: KeyboardEvent) => {
      if (e.altKey || e.ctrlKey || e.metaKey || e.target instanceof HTMLInputElement) return;
      press(e.key);
    };
    addEventListener("keydown", listen);
    return () => removeEventListener("keydown", listen);
  });
}

/** Left and right swipes; vertical movement stays scrolling. */
function useSwipe(move: (by: 1 | -1) => void) {
  const from = useRef<{ x: number; y: number } | null>(null);
  return {
    onTouchStart: (e: TouchEvent) => {
      const t = e.touches[0];
      from.current = e.touches.length === 1 && t ? { x: t.clientX, y: t.clientY } : null;
    },
    onTouchEnd: (e: TouchEvent) => {
      const t = e.changedTouches[0];
      const start = from.current;
      from.current = null;
      if (!t || !start) return;
      const dx = t.clientX - start.x;
      if (Math.abs(dx) > swipePixels && Math.abs(dx) > 2 * Math.abs(t.clientY - start.y)) move(dx < 0 ? 1 : -1);
    },
  };
}
