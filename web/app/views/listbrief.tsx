import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Case, Pause, PauseLine } from "../generated/types";
import { said } from "../lang/said";
import { Button, Stop, Tag, useFoot } from "../parts";
import { WeightSign } from "../parts/because";
import { letSleep, stayAwake, wake } from "../parts/wakelock";
import type { Doc } from "../state";
import { textList } from "../text-list";
import { Counted, looking } from "./listsetup";
import type { OnList } from "./listsheets";
import { sentence, unbroken } from "./names";
import { nameOf } from "./people";

const words = textList.brief;

/** The team brief of the whole list: what is asked once, then case by case what is out of the ordinary, large enough to be read aloud. */
export function ListBrief({ sheets }: { sheets: readonly OnList[] }) {
  const [at, setAt] = useState(0);
  const heading = useRef<HTMLHeadingElement>(null);
  const feet = useRef<HTMLDivElement>(null);
  const moved = useRef(false);
  useFoot(feet, true);
  useLayoutEffect(() => {
    if (!moved.current) return;
    heading.current?.focus({ preventScroll: true });
    scrollTo(0, 0);
  }, [at]);
  useEffect(() => letSleep, []);
  const show = (to: number) => {
    void stayAwake();
    moved.current = true;
    setAt(to);
  };
  const last = sheets.length;
  const here = sheets[at - 1];
  const title = (n: number) => (n === 0 ? words.once : words.case(sheets[n - 1]?.of.body.position ?? n));
  return (
    <div class="brief">
      <div class="row-apart">
        <h2 ref={heading} tabIndex={-1}>{title(at)}</h2>
        <span class="quiet">{words.place(at + 1, last + 1)}</span>
      </div>
      {here ? <OneCase on={here} /> : <Once sheets={sheets} />}
      {(wake.value === "refused" || wake.value === "missing") && <p class="quiet">{words.mayGoDark}</p>}
      <div class="brief-move" ref={feet}>
        <Button big icon="back" disabled={at === 0} onClick={() => show(at - 1)}>{words.previous}</Button>
        <Button big kind="primary" icon="forward" disabled={at === last} onClick={() => show(at + 1)}>{at < last ? <>{words.next}<small>{title(at + 1)}</small></> : words.next}</Button>
      </div>
    </div>
  );
}

function briefOf(on: OnList): Pause | undefined {
  return on.sheet?.pauses.find((p) => p.id === "team brief");
}

/** The lines that every case's brief has: they are asked once. */
function shared(sheets: readonly OnList[]): PauseLine[] {
  const briefs = sheets.flatMap((s) => briefOf(s) ?? []);
  return (briefs[0]?.lines ?? []).filter((l) => briefs.every((b) => b.lines.some((x) => x.id === l.id && x.text === l.text)));
}

function Once({ sheets }: { sheets: readonly OnList[] }) {
  const whole = !looking(sheets); // what half a list has in common, the rest may not have
  return (
    <div class={whole ? "brief" : "brief coming"}>
      <p>{words.lead} {words.again}</p>
      <Counted sheets={sheets} />
      {whole && (
        <ol class="brief-lines">
          {shared(sheets).map((l) => <li key={l.id}><Line of={l} /></li>)}
        </ol>
      )}
    </div>
  );
}

function Line({ of: l }: { of: PauseLine }) {
  return (
    <>
      <p class="brief-line">{unbroken(l.text)}</p>
      <p class="quiet">{words.asks(sentence(l.ask), l.answer)}{l.expect && `. ${words.expect}: ${said(unbroken(l.expect))}`}</p>
    </>
  );
}

/** Which eye, whose, with which card, what is special, what is stored and what nobody knows. */
function OneCase({ on }: { on: OnList }) {
  const { of, sheet } = on;
  const own = (briefOf(on)?.lines ?? []).filter((l) => l.added || l.question);
  const stored = (briefOf(on)?.lines ?? []).filter((l) => l.stored);
  const unknown = sheet?.not_known ?? [];
  const special = sheet?.special ?? [];
  return (
    <>
      <div>
        <p class="brief-eye">{eyeWords(of)}</p>
        <p class="brief-line">{nameOf(of.body.surgeon)}{sheet && <> · {sheet.technique}</>}</p>
      </div>
      {of.questions.length > 0 && <Stop>{textList.sheets.unsettled(of.body.position)}</Stop>}
      {!sheet && <p class="brief-line">{on.why ?? words.noSheet}</p>}
      {sheet && special.length === 0 && own.length === 0 && <p class="brief-line">{words.nothing}</p>}
      <ul role="list" class="brief-lines">
        {special.map((s) => <li key={s.text}><WeightSign weight={s.weight} /><p class="brief-line">{unbroken(s.text)}</p></li>)}
        {own.map((l) => <li key={l.id}><Line of={l} /></li>)}
        {stored.map((l) => <li key={l.id}><p class="quiet">{unbroken(l.text)}</p><p class="brief-line">{words.stored}: {unbroken(l.stored ?? "")}</p></li>)}
        {of.body.note && <li><p class="quiet">{words.note}</p><p class="brief-line">{of.body.note}</p></li>}
      </ul>
      {unknown.length > 0 && <p><Tag kind="notknown">{words.unknown}</Tag> {unknown.map((f) => f.label).join(" · ")}</p>}
    </>
  );
}

function eyeWords(of: Doc<Case>): string {
  if (of.questions.some((q) => q.unit === "facts/eye")) return sentence(words.eyeOpen);
  const eye = [of.body.facts?.["eye"]].flat()[0];
  return sentence(eye && eye !== "not known" ? eye : words.eyeMissing);
}
