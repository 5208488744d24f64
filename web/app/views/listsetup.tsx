import type { ComponentChildren } from "preact";
import type { ItemKind } from "../generated/types";
import { Caution, Note, Stop, Tag } from "../parts";
import { docs } from "../state";
import { textList } from "../text-list";
import { competing, inARow, lenses, listSums, total, wantedBy, type LensSum, type ListCase, type Share, type Sum } from "./listsums";
import type { OnList } from "./listsheets";
import { unbroken } from "./names";

const words = textList.setup;
const kinds: readonly ItemKind[] = ["implant", "instrument", "consumable", "fluid", "drug"];

/** What the list needs, in number and for whom. */
export function ListSetup({ sheets }: { sheets: readonly OnList[] }) {
  const cases = sheets.flatMap(({ of, sheet }): ListCase[] => (sheet ? [{ position: of.body.position, sheet, asked: askedOf(sheet.made.card) }] : []));
  const sums = listSums(cases);
  const places = cases.map((c) => c.position);
  const whole = !looking(sheets); // a sum of half a list would be believed
  return (
    <div class={whole ? "listsums" : "listsums coming"}>
      <Counted sheets={sheets} />
      {whole && cases.length > 0 && <>
        <p class="listsums-all">{words.summary(sums.length, cases.length, sheets.length)}</p>
        <Compete list={competing(sums, cases.length)} places={places} />
        <Lenses list={lenses(cases)} />
        <States title={words.ready} state="have ready" sums={sums} places={places} />
        <States title={words.open} state="open" sums={sums} places={places} />
        <p class="quiet">{words.note}</p>
      </>}
    </div>
  );
}

function askedOf(card: string): ReadonlySet<string> {
  return new Set(docs.value.get(`card/${card}`)?.questions.map((q) => q.unit) ?? []);
}

/** Which sheets the numbers come from, and what they do not hold: a sum without that would be believed too much. */
export function Counted({ sheets }: { sheets: readonly OnList[] }) {
  const s = textList.sheets;
  const at = (some: readonly OnList[]) => some.map((x) => x.of.body.position);
  const inUse = sheets.filter((x) => x.inUse), wouldBe = sheets.filter((x) => !x.inUse && x.sheet), newer = sheets.filter((x) => x.newer);
  return (
    <div class="stack-close">
      <p class="quiet">{inUse.length > 0 && s.inUse(at(inUse))} {wouldBe.length > 0 && s.wouldBe(at(wouldBe))}</p>
      <p role="status" class="quiet">{looking(sheets) ? s.making : ""}</p>
      {newer.length > 0 && <Note>{s.newer(at(newer))}</Note>}
      {sheets.filter((x) => x.why).map((x) => <Caution key={x.of.id}>{s.missing(x.of.body.position, x.why ?? "")}</Caution>)}
      {sheets.filter((x) => x.of.questions.length > 0).map((x) => <Stop key={x.of.id}>{s.unsettled(x.of.body.position)}</Stop>)}
    </div>
  );
}

/** Some sheets are neither there nor known to be impossible. */
export function looking(sheets: readonly OnList[]): boolean {
  return sheets.some((x) => !x.sheet && !x.why);
}

function Compete({ list, places }: { list: readonly Sum[]; places: readonly number[] }) {
  if (list.length === 0) return null;
  return (
    <Part title={words.compete}>
      <p class="quiet">{words.competeLead}</p>
      <Things list={list} places={places} mark={(s) => inARow(wantedBy(s.shares), places) && <Tag kind="caution">{words.inARow}</Tag>} />
    </Part>
  );
}

function Lenses({ list }: { list: readonly LensSum[] }) {
  if (list.length === 0) return null;
  return (
    <Part title={words.lenses}>
      <ul role="list" class="sums">
        {list.map((l) => (
          <li key={l.power}>
            <span class="sum-number">{words.boxes(l.planned.length + l.backup.length)}</span>
            <span class="sum-words">
              <strong>{unbroken(l.power)}</strong>
              <span class="quiet">{[l.planned.length > 0 && words.lensFor(l.planned), l.backup.length > 0 && words.spareFor(l.backup)].filter(Boolean).join(" · ")}</span>
            </span>
          </li>
        ))}
      </ul>
      <p class="quiet small">{words.lensLead}</p>
    </Part>
  );
}

/** The things that are opened at the start, or those that stay unopened, by kind. */
function States({ title, state, sums, places }: { title: string; state: Share["state"]; sums: readonly Sum[]; places: readonly number[] }) {
  const here = sums.map((s) => ({ ...s, shares: s.shares.filter((x) => x.state === state) })).filter((s) => s.shares.length > 0);
  if (here.length === 0) return null;
  return (
    <Part title={title}>
      {kinds.map((kind) => {
        const list = here.filter((s) => s.kind === kind);
        return list.length > 0 && <div key={kind} class="stack-close"><h3>{words.kinds[kind]}</h3><Things list={list} places={places} /></div>;
      })}
    </Part>
  );
}

function Part({ title, children }: { title: string; children: ComponentChildren }) {
  return <section class="stack-close" aria-label={title}><h2>{title}</h2>{children}</section>;
}

function Things({ list, places, mark }: { list: readonly Sum[]; places: readonly number[]; mark?: (s: Sum) => ComponentChildren }) {
  return (
    <ul role="list" class="sums">
      {list.map((s) => {
        const asked = wantedBy(s.shares.filter((x) => x.asked));
        return (
          <li key={s.key}>
            <span class="sum-number">{words.number(total(s.shares))}</span>
            <span class="sum-words">
              <span><strong>{s.name}</strong>{s.text && <span> {unbroken(s.text)}</span>}</span>
              <span class="quiet">{forWhom(s.shares, places)}</span>
              {s.shares.some((x) => x.special) && <Tag kind="accent" icon="branch">{words.special}</Tag>}
              {asked.length > 0 && <Tag kind="stop">{words.asked(asked)}</Tag>}
              {mark?.(s)}
            </span>
          </li>
        );
      })}
    </ul>
  );
}

/** Which cases want a thing, and how many where it is more than one; in short where every case wants the same. */
function forWhom(shares: readonly Share[], places: readonly number[]): string {
  const wanted = wantedBy(shares);
  const of = (p: number) => total(shares.filter((s) => s.position === p));
  const first = of(wanted[0] ?? 0);
  const alike = wanted.every((p) => of(p) === first);
  if (alike && wanted.length === new Set(places).size && wanted.length > 1) return words.each(first);
  if (alike && first === 1) return textList.cases(wanted);
  return wanted.map((p) => words.share(p, of(p))).join(" · ");
}
