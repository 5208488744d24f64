import { useEffect, useRef, useState } from "preact/hooks";
import type { Card, PhaseLimits, Shown } from "../generated/types";
import { Button, Caution, Note, Tag, TwoValues, useFoot, Value } from "../parts";
import { doc, docs, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { sideText, unbroken } from "./names";
import { nameOf } from "./people";
import "./limits.css";

const words = textCase.limits;
const swipePixels = 60;

export function Limits({ use }: { use: SheetUse }) {
  const phases = use.sheet.limits;
  const [index, setIndex] = useRemembered(`limits/${use.caseId}`, phases.length);
  const heading = useRef<HTMLHeadingElement>(null);
  const moved = useRef(false);
  const show = (to: number) => {
    if (to < 0 || to >= phases.length || to === index) return;
    moved.current = true;
    setIndex(to);
  };
  useEffect(() => {
    if (!moved.current) return;
    heading.current?.focus({ preventScroll: true });
    heading.current?.scrollIntoView({ block: "nearest" });
  }, [index]);
  useKeys((key) => {
    if (key === "ArrowLeft" || key === "PageUp") show(index - 1);
    if (key === "ArrowRight" || key === "PageDown") show(index + 1);
  });
  const swipe = useSwipe((by) => show(index + by));
  const feet = useRef<HTMLDivElement>(null);
  useFoot(feet, phases.length > 0);

  const phase = phases[index];
  if (!phase) return <p>{words.none}</p>;
  const next = phases[index + 1];
  return (
    <div class="limitview" {...swipe}>
      <PhaseCard use={use} phase={phase} heading={heading} count={words.phaseOf(index + 1, phases.length)} />
      <div class="phase-move" ref={feet}>
        <Button big icon="back" disabled={index === 0} onClick={() => show(index - 1)}>{words.previous}</Button>
        <Button big kind="primary" icon="forward" disabled={!next} onClick={() => show(index + 1)}>{words.next}</Button>
      </div>
      <Next next={next} unresolved={next ? questionAbout(use, next) !== undefined : false} />
      <details class="phase-all">
        <summary>{words.phases}</summary>
        <div class="phase-list">
          {phases.map((p, i) => (
            <button type="button" key={p.phase} aria-current={i === index ? "step" : undefined} onClick={() => show(i)}>{p.name}</button>
          ))}
        </div>
      </details>
      <p class="quiet">{words.note} {machineOf(use)}</p>
    </div>
  );
}

function PhaseCard({ use, phase, heading, count }: { use: SheetUse; phase: PhaseLimits; heading: { current: HTMLHeadingElement | null }; count: string }) {
  const question = questionAbout(use, phase);
  const baseOpen = phase.variant !== undefined && openUnit(use, `phases/${phase.phase}`) !== undefined;
  const variant = use.sheet.variants?.find((v) => v.key === phase.variant);
  const steps = (use.sheet.steps ?? []).filter((s) => s.phase === phase.phase);
  return (
    <section class="phase-card" aria-labelledby="phase-name">
      <div class="row-apart">
        <h2 id="phase-name" ref={heading} tabIndex={-1}>{phase.name}</h2>
        <span class="quiet">{count}</span>
      </div>
      {phase.variant && <p><Tag kind="accent" icon="branch">{words.variant(variant?.title ?? phase.variant)}</Tag></p>}
      {question ? <Unresolved question={question} /> : <Values phase={phase} baseOpen={baseOpen} />}
      {!question && baseOpen && <Caution word={words.unresolved}>{words.baseOpen}</Caution>}
      {phase.note && <p class="phase-note">{unbroken(phase.note)}</p>}
      {(phase.cautions ?? []).map((c) => <Caution key={c}>{unbroken(c)}</Caution>)}
      {steps.length > 0 && (
        <div class="phase-steps">
          <h3>{words.steps}</h3>
          <ol>
            {steps.map((s) => (
              <li key={s.key}>
                <strong>{s.title}</strong>{s.do && unbroken(`: ${s.do}`)}
                {s.checkpoint && <span class="quiet"> {words.checkpoint}: {unbroken(s.checkpoint)}</span>}
              </li>
            ))}
          </ol>
        </div>
      )}
    </section>
  );
}

function Values({ phase, baseOpen }: { phase: PhaseLimits; baseOpen: boolean }) {
  const base = phase.variant && !baseOpen ? phase.base ?? [] : null;
  const gone = (base ?? []).filter((b) => !phase.values.some((v) => v.id === b.id));
  if (phase.values.length === 0) return <p class="phase-none">{words.noValues}</p>;
  return (
    <>
      <dl class="phase-values">
        {phase.values.map((v) => (
          <div key={v.id} class="phase-value">
            <dt>{v.label}</dt>
            <dd>
              <Value {...v} />
              {base && <BaseValue base={base.find((b) => b.id === v.id)} now={v} />}
            </dd>
          </div>
        ))}
      </dl>
      {gone.length > 0 && <p class="quiet">{words.droppedBase}: {gone.map((g) => `${g.label} ${whole(g)}`).join("; ")}.</p>}
    </>
  );
}

/** The card's own value, where the variant changed it. */
function BaseValue({ base, now }: { base: Shown | undefined; now: Shown }) {
  if (!base) return <span class="phase-base">{words.baseNone}</span>;
  if (base.value === now.value && base.extra === now.extra) return null;
  return <span class="phase-base">{words.base(whole(base))}</span>;
}

function whole(s: Shown): string {
  const value = s.unit ? `${s.value}\u00a0${s.unit}` : s.value;
  return s.extra ? `${value}, ${s.extra}` : value;
}

/** Two people changed these limits differently: neither value stands in front, and no number stands alone. */
function Unresolved({ question }: { question: OpenQuestion }) {
  return (
    <div class="phase-unresolved">
      <Caution word={words.unresolved}>{words.unresolvedDo}</Caution>
      <TwoValues label={question.label} sides={[
        { text: sideText(question.head_text), by: words.unresolvedHead(nameOf(question.head_by)) },
        { text: sideText(question.mine_text), by: words.unresolvedHead(nameOf(question.mine_by)) },
      ]} />
    </div>
  );
}

function Next({ next, unresolved }: { next: PhaseLimits | undefined; unresolved: boolean }) {
  if (!next) return <p class="quiet">{words.last}</p>;
  return (
    <Note word={words.nextIs}>
      <strong>{next.name}</strong>: {unresolved ? words.unresolved : next.values.map((v) => `${v.label} ${whole(v)}`).join(" · ") || words.noValues}
    </Note>
  );
}

/** Whether a value that a pause reveals is one of limits nobody has decided about; the core begins it with the name of the phase. */
export function storedIsOpen(use: SheetUse, stored: string): boolean {
  return use.sheet.limits.some((p) => stored.startsWith(`${p.name}: `) && questionAbout(use, p) !== undefined);
}

/** The open question about the limits shown for a phase, if there is one now: the variant's own where a variant replaced them. */
function questionAbout(use: SheetUse, phase: PhaseLimits): OpenQuestion | undefined {
  return openUnit(use, phase.variant ? `variants/${phase.variant}` : `phases/${phase.phase}`);
}

function openUnit(use: SheetUse, unit: string): OpenQuestion | undefined {
  return docs.value.get(`card/${use.sheet.made.card}`)?.questions.find((q) => q.unit === unit);
}

function machineOf(use: SheetUse): string {
  const profile = doc<Card>("card", use.sheet.made.card)?.body.machine.profile;
  return profile ? words.profile(profile) : "";
}

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
