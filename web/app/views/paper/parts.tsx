import { Fragment, type ComponentChildren } from "preact";
import type { Place, Shown, State } from "../../generated/types";
import { said as inLanguage } from "../../lang/said";
import { clockInWords, dayShort, now, timeInWords, unbroken } from "../../parts";
import { docsOf, status, type OpenQuestion, type Unit } from "../../state";
import { text } from "../../text";
import { textPaper } from "../../text-paper";
import { nameOf } from "../people";
import { QRCode } from "../qrcode";
import { withNames } from "../withnames";
import type { Block } from "./leaves";
import { evenly, rowsOf, whole } from "./matrix";
import { byPlace } from "./place";

const words = textPaper;

interface HeadProps {
  title: string;
  /** Whose it is and what it was made from, a line each. */
  lines: ComponentChildren[];
  /** The path that the code leads to. */
  path: string;
  /** What has to be still current when the paper is used. */
  current: string;
}

/** What every page begins with. */
export function Head({ title, lines, path, current }: HeadProps) {
  const { asOf, demo } = status.value;
  const address = location.origin + path;
  return (
    <>
      <div class="leaf-id">
        <p><strong class="leaf-title">{title}</strong>{(demo || docsOf<Unit>("unit").some((u) => u.body.demo)) && <strong> {text.demo}</strong>}</p>
        {lines.map((l, i) => <p key={i}>{l}</p>)}
        <p>{words.printed(printedAt(), asOf ? timeInWords(asOf) : words.never)} <strong>{words.current(current)}</strong> <span class="leaf-address">{address}</span></p>
      </div>
      <QRCode address={address} label={textPaper.code(address)} class="leaf-code" />
    </>
  );
}

function printedAt(): string {
  return `${dayShort(now.value.toISOString())} ${clockInWords(now.value)}`;
}

export function section(key: string, title: string, mind?: string): Block {
  return { key, keep: true, node: <Section title={title} mind={mind} /> };
}

/** The head of a part, with what is to be minded about it on the same line. */
export function Section({ title, mind }: { title: string; mind?: string | undefined }) {
  return <div class="leaf-section"><h2>{title}</h2>{mind && <> {mind}</>}</div>;
}

/** What is laid out: first what is opened, then what waits, each by its place. */
export function placeBlocks<T extends { place?: Place | undefined; state: State }>(things: readonly T[], mirrored: boolean, line: (thing: T) => ComponentChildren): Block[] {
  const groups = [["open", words.openHead], ["have ready", words.readyHead]] as const;
  return groups.flatMap(([state, title]) => {
    const parts = byPlace(things.filter((t) => t.state === state), mirrored);
    if (parts.length === 0) return [];
    const head: Block = { key: `head-${state}`, keep: true, node: <p class="leaf-group">{title}</p> };
    return [head, ...parts.map((p, n): Block => ({
      key: `${state}-${p.place}-${n}`,
      node: (
        <div>
          <p class="leaf-place">{words.placeOf(p.place || text.noPlace, state === "open", p.continued)}</p>
          <Things>{p.things.map(line)}</Things>
        </div>
      ),
    }))];
  });
}

/** Short texts in running lines, in parts that find room separately. */
export function runOn(key: string, texts: readonly string[]): Block[] {
  return evenly(texts, 6).map((part, n) => ({ key: `${key}-${n}`, node: <p>{part.map(unbroken).join(" · ")}</p> }));
}

/** Both values, neither in front, and who can settle it. */
export function QuestionLine({ question, ask }: { question: OpenQuestion; ask: string }) {
  const q = withNames(question, nameOf);
  return (
    <div class="leaf-stop">
      <p><Sign weight="stop" word={words.twoValues} /> <strong>{q.label}</strong> {words.askOwner(nameOf(ask))}</p>
      <p>{words.side(nameOf(q.head_by), unbroken(q.head_text))}</p>
      <p>{words.side(nameOf(q.mine_by), unbroken(q.mine_text))}</p>
    </div>
  );
}

/** A stop or a caution: told apart by shape and word, in any ink. */
export function Sign({ weight, word }: { weight: "caution" | "stop"; word?: string }) {
  return (
    <span class="leaf-sign">
      <svg viewBox="0 0 24 24" aria-hidden="true">
        <path d={weight === "stop" ? "M8 2.8h8L21.2 8v8L16 21.2H8L2.8 16V8z" : "M12 3.5L22 20.5H2z"} />
      </svg>
      <strong>{word ?? (weight === "stop" ? text.stop : text.caution)}.</strong>
    </span>
  );
}

/** An empty box to tick by hand, or what was ticked on the device. */
export function Box({ on = false }: { on?: boolean }) {
  return (
    <svg class="leaf-box" viewBox="0 0 12 12" aria-hidden="true">
      <path d="M1 1h10v10H1z" />
      {on && <path d="M3 6l2.2 2.5L9.5 3.5" />}
    </svg>
  );
}

export interface PhaseColumn {
  key: string;
  name: string;
  values: readonly Shown[];
  /** Of which variant these limits are. */
  variant?: string | undefined;
  /** The card's own limits where a variant replaced them. */
  base?: readonly Shown[] | undefined;
  /** Two values are not resolved: no limit of it is shown alone. */
  open: boolean;
}

/** The limits of all phases side by side; more phases than fit stand in a second table. */
export function limitTables(phases: readonly PhaseColumn[], most: number): Block[] {
  return evenly(phases, most).map((part) => ({ key: `limits-${part[0]?.key}`, node: <LimitTable phases={part} /> }));
}

function LimitTable({ phases }: { phases: readonly PhaseColumn[] }) {
  const rows = rowsOf(phases.map((p) => (p.open ? [] : statedIn(p))));
  return (
    <table class="leaf-limits">
      <thead>
        <tr>
          <td />
          {phases.map((p) => <th key={p.key} scope="col">{p.name}{p.variant && <span>{words.variantOf(p.variant)}</span>}{p.open && <span>{words.phaseOpen}</span>}</th>)}
        </tr>
      </thead>
      <tbody>
        {rows.map((r) => (
          <tr key={r.id}>
            <th scope="row">{shortLabel(r)}</th>
            {phases.map((p) => <td key={p.key}><Cell value={p.values.find((v) => v.id === r.id)} phase={p} id={r.id} /></td>)}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What a phase states, and what only the card stated where a variant leaves it out. */
function statedIn({ values, base = [] }: PhaseColumn): Shown[] {
  return [...values, ...base.filter((b) => !values.some((v) => v.id === b.id))];
}

function Cell({ value, phase, id }: { value: Shown | undefined; phase: PhaseColumn; id: string }) {
  if (phase.open) return null;
  const base = phase.base?.find((b) => b.id === id);
  const differs = phase.base && (base && whole(base)) !== (value && whole(value));
  return (
    <>
      {value ? <><strong>{value.value}</strong>{value.unit && <Unit unit={value.unit} />}{value.extra && ` ${value.extra}`}</> : words.notStated}
      {differs && <span> {base ? words.cardHas(whole(base)) : words.cardHasNone}</span>}
    </>
  );
}

/** Beside its value; a narrow cell may part it after the stroke and nowhere else. */
function Unit({ unit }: { unit: string }) {
  const [first, ...rest] = unit.split("/");
  return <>{`\u00a0${first}`}{rest.map((r) => <Fragment key={r}>/<wbr />{r}</Fragment>)}</>;
}

/** Each value with its label, in one text. */
export function labelled(values: readonly Shown[]): string[] {
  return values.map((v) => `${inLanguage(shortLabel(v))} ${inLanguage(whole(v))}`);
}

/** What a limit is called where there is little room; its unit stands beside it. */
function shortLabel({ id, label }: { id: string; label: string }): string {
  return words.shortLabels[id] ?? label;
}

/** Short things one after the other: a line each, or run on where room is short. */
export function Things({ children }: { children: ComponentChildren }) {
  return <ul role="list" class="leaf-things">{children}</ul>;
}

export const said = (texts: (string | undefined | false | null)[]): string[] => texts.filter((t): t is string => Boolean(t));
