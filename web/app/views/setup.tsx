import { useMemo, useRef, useState } from "preact/hooks";
import { mirrorPlace } from "../drawing/layout";
import { ShownAs, TrolleyDrawing, type Thing } from "../drawing/trolley";
import type { Place, State, Struck, Why as WhyLine } from "../generated/types";
import { choices } from "../generated/vocabulary";
import { announce, Button, Caution, Icon, Tag, Tick, Why } from "../parts";
import { Because, WeightSign } from "../parts/because";
import { setTick, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { handsApart, writtenFor } from "./hands";
import { unbroken } from "./names";
import { Specials } from "./specials";
import { cardQuestions, Unresolved } from "./unresolved";
import "./setup.css";

const words = textCase.setup;

/** An item or a drug as one line to lay out. */
interface Row {
  id: string;
  name: string;
  quantity: number;
  state: State;
  place: Place | undefined;
  lines: string[];
  struck: Struck | undefined;
  instead: string | undefined;
  special: boolean;
  drug: boolean;
  why: WhyLine[];
}

export function Setup({ use }: { use: SheetUse }) {
  const [mirrored, setMirrored] = useState(() => handsApart(use) !== undefined);
  const [drawing, setDrawing] = useState(false);
  const rows = useMemo(() => rowsOf(use, mirrored), [use.sheet, mirrored]);
  const [left, setLeft] = useState<ReadonlySet<string> | null>(null); // what was left when the filter was set: rows must not jump under the finger
  const [whys, setWhys] = useState(false);
  const [last, setLast] = useState<{ row: Row; on: boolean } | null>(null);

  const open = openQuestions(use);
  const asked = new Set(open.map((q) => q.unit));
  const wanted = rows.filter((r) => !r.struck);
  const done = wanted.filter((r) => use.ticks[r.id]).length;
  const shown = left ? rows.filter((r) => left.has(r.id)) : rows;
  const tickedHere = left ? shown.filter((r) => use.ticks[r.id]).length : 0;
  const filter = () => setLeft(new Set(rows.filter((r) => r.struck || !use.ticks[r.id]).map((r) => r.id)));

  const tick = (row: Row, on: boolean) => {
    void setTick(use.caseId, row.id, on);
    setLast({ row, on });
    announce((on ? words.ticked : words.unticked)(row.name, done + (on ? 1 : -1), wanted.length));
  };

  return (
    <div class="setup">
      <div class="setup-bar">
        <div class="setup-progress">
          <strong>{left ? words.toGo(wanted.length - done) : words.progress(done, wanted.length)}</strong>
          <progress value={done} max={Math.max(1, wanted.length)} aria-label={words.progressLong(done, wanted.length)} />
          <span class="quiet small">{words.ticksHere}</span>
        </div>
        <div class="setup-tools">
          {last && <Button kind="quiet" big icon="undo" label={(last.on ? words.undo : words.undoUntick)(last.row.name)} onClick={() => tick(last.row, !last.on)}>{words.undoShort}</Button>}
          <Button big pressed={left !== null} onClick={() => (left ? setLeft(null) : filter())}>{left ? words.all : words.left}</Button>
        </div>
      </div>
      {open.map((q) => <Unresolved key={q.id} stop question={q}>{`${q.label}. ${words.unresolved}`}</Unresolved>)}
      <Specials use={use} />
      {handsApart(use) && <Caution>{handsApart(use)}</Caution>}
      <ShownAs big drawing={drawing} onDrawing={setDrawing} mirrored={mirrored} onMirrored={setMirrored} hand={writtenFor(use)} />
      {done === wanted.length && wanted.length > 0 && <p class="setup-complete">{left ? words.nothingLeft : words.complete}</p>}
      {drawing && (
        <>
          {shown.map((r) => r.struck && <StruckRow key={r.id} row={r} struck={r.struck} />)}
          <TrolleyDrawing mirrored={false} things={shown.filter((r) => !r.struck).map((r) => thingOf(r, use, asked))} />
        </>
      )}
      {!drawing && grouped(shown).map(([name, list]) => (
        <section class="setup-group" key={name} aria-label={name}>
          <GroupHead name={name} list={list} use={use} />
          {list.some((r) => r.drug) && <p class="quiet">{words.drugs}</p>}
          <ul role="list">
            {list.map((row) => <RowItem key={row.id} row={row} on={Boolean(use.ticks[row.id])} whys={whys} unresolved={asked.has(unitOf(row))} onTick={tick} />)}
          </ul>
        </section>
      ))}
      {tickedHere > 0 && <Button big onClick={filter}>{words.hideTicked(tickedHere)}</Button>}
      <Button kind="quiet" big pressed={whys} onClick={() => setWhys(!whys)}>{words.whys}</Button>
    </div>
  );
}

interface RowItemProps {
  row: Row;
  on: boolean;
  whys: boolean;
  unresolved: boolean;
  onTick: (row: Row, on: boolean) => void;
}

/** One line of the list. What it shows is kept from one drawing to the next: a tick must answer at once on a slow tablet. */
function RowItem({ row, on, whys, unresolved, onTick }: RowItemProps) {
  const latest = useRef(onTick);
  latest.current = onTick;
  return useMemo(() => (
    <li>
      {row.struck
        ? <StruckRow row={row} struck={row.struck} />
        : <Tick name={row.name} on={on} onChange={(is) => latest.current(row, is)}><RowWords row={row} whys={whys} unresolved={unresolved} /></Tick>}
      {row.special && !row.struck && !whys && row.why.length > 1 && <Why><Because why={row.why} whole /></Why>}
    </li>
  ), [row, on, whys, unresolved]);
}

/** The name of a group with how far it is, so that nobody counts rows. */
function GroupHead({ name, list, use }: { name: string; list: readonly Row[]; use: SheetUse }) {
  const wanted = list.filter((r) => !r.struck);
  const done = wanted.filter((r) => use.ticks[r.id]).length;
  return (
    <div class="row-apart">
      <h2>{name}</h2>
      {wanted.length > 0 && <span class="quiet">{done === wanted.length && <Icon name="tick" />} {words.progress(done, wanted.length)}</span>}
    </div>
  );
}

/** Why it is special, in one line: what the case adds comes before the card it would have come from anyway. */
function mainReason(row: Row): WhyLine[] {
  return [row.why.find((w) => w.from !== "card") ?? row.why[0]].filter((w) => w !== undefined);
}

/** Open questions about items, drugs and the variants in use. */
function openQuestions(use: SheetUse): OpenQuestion[] {
  const used = new Set((use.sheet.variants ?? []).map((v) => `variants/${v.key}`));
  return cardQuestions(use).filter((q) => q.unit.startsWith("items/") || q.unit.startsWith("drugs/") || used.has(q.unit));
}

/** The ticks a sheet can have: its lines that are not struck. */
export function layoutKeys({ setup, drugs }: SheetUse["sheet"]): string[] {
  const items = setup.filter((l) => !l.struck).map((l) => l.key);
  return [...items, ...(drugs ?? []).filter((l) => !l.struck).map((l) => drugTick(l.key))];
}

/** How questions name what the row shows. */
function unitOf(row: Row): string {
  return row.drug ? `drugs/${row.id.slice(drugTick("").length)}` : `items/${row.id}`;
}

/** Where two people changed it differently only its name stands here; both values stand above the list. */
function RowWords({ row, whys, unresolved }: { row: Row; whys: boolean; unresolved: boolean }) {
  return (
    <span class="setrow">
      <span class="setrow-main">
        <span class="setrow-name">
          {row.quantity > 1 && !unresolved && <span class="setrow-times">{words.times(row.quantity)} </span>}
          {row.name} {row.special && <Tag kind="accent" icon="branch">{words.marked}</Tag>}
        </span>
        {unresolved && <span class="setrow-line"><Tag kind="stop">{textCase.limits.unresolved}</Tag></span>}
        {!unresolved && row.lines.map((l) => <span class={row.drug ? "setrow-strength" : "setrow-line"} key={l}>{l}</span>)}
        {whys ? <Because why={row.why} whole /> : row.special && <Because why={mainReason(row)} />}
      </span>
      {!unresolved && <StateMark state={row.state} />}
    </span>
  );
}

/** Open and have ready differ by word and by the drawing of a packet, not by colour. */
function StateMark({ state }: { state: State }) {
  const open = state === "open";
  return (
    <span class={open ? "packet packet-open" : "packet packet-ready"}>
      <svg viewBox="0 0 32 32" width="28" height="28" aria-hidden="true" focusable="false">
        <path d="M4 13h24v15H4z" />
        {open ? <path d="M4 13 9 5M28 13l-5-8" /> : <path d="M4 13V8h24v5M16 13v6" />}
      </svg>
      <span>{open ? words.open : words.ready}</span>
    </span>
  );
}

/** Not laid out. Only what somebody must still answer is a stop; a settled swap is plain words. */
function StruckRow({ row, struck }: { row: Row; struck: Struck }) {
  const needsAnswer = struck === "conflict" || struck === "withheld";
  return (
    <div class={needsAnswer ? "struck struck-stop" : "struck"}>
      {needsAnswer ? <WeightSign weight="stop" word={words.struck[struck]} /> : <Tag icon="cross">{words.struck[struck]}</Tag>}
      <div>
        <p class="setrow-name"><s>{row.name}</s></p>
        {row.instead && <p class="struck-instead">{words.instead(row.instead)}</p>}
        <Because why={mainReason(row)} />
        {words.struckDo[struck] && <p>{words.struckDo[struck]}</p>}
        <Why><Because why={row.why} whole /></Why>
      </div>
    </div>
  );
}

const said = (texts: (string | undefined | false)[]) => texts.filter((t): t is string => Boolean(t));

/** As it is drawn; its place is mirrored already where it has to be. */
function thingOf(row: Row, use: SheetUse, asked: ReadonlySet<string>): Thing {
  return { key: row.id, name: row.name, quantity: row.quantity, state: row.state, place: row.place, special: row.special, ticked: Boolean(use.ticks[row.id]), unresolved: asked.has(unitOf(row)) };
}

function rowsOf(use: SheetUse, mirrored: boolean): Row[] {
  const seen = (place: Place | undefined) => (mirrored ? mirrorPlace(place) : place);
  const items = use.sheet.setup.map((l): Row => ({
    id: l.key, name: l.name, quantity: l.quantity, state: l.state, place: seen(l.place),
    lines: said([said([trolley.has(l.place ?? "") && seen(l.place), l.counted && words.counted]).join(" · "), l.note]).map(unbroken),
    struck: l.struck, instead: l.instead, special: Boolean(l.special), drug: false, why: l.why,
  }));
  const drugs = (use.sheet.drugs ?? []).map((l): Row => ({
    id: drugTick(l.key), name: l.name, quantity: 1, state: l.state, place: "drug tray",
    lines: said([l.text, l.prepared, l.note]).map(unbroken),
    struck: l.struck, instead: l.instead, special: Boolean(l.special), drug: true, why: l.why,
  }));
  return [...items, ...drugs];
}

/** A drug and an item may have the same key; their ticks must not. */
export function drugTick(key: string): string {
  return `drug/${key}`;
}

const trolley = new Set<string>(choices.place.slice(0, choices.place.indexOf("machine")));

/** Where a line is laid out. What stays unopened belongs to the room, unless it has a place of its own. */
function groupOf(row: Row): string {
  if (row.special || row.struck === "withheld") return words.special;
  if (row.place && row.place !== "room" && !trolley.has(row.place)) return words.groups[row.place] ?? row.place;
  return (row.state === "have ready" || row.place === "room" ? words.groups.room : words.groups.trolley) ?? "";
}

function grouped(rows: Row[]): [string, Row[]][] {
  const groups = new Map<string, Row[]>([words.special, ...Object.values(words.groups)].map((name) => [name, []]));
  for (const row of rows) groups.get(groupOf(row))?.push(row);
  return [...groups].filter(([, list]) => list.length > 0).map(([name, list]) => [name, sorted(list)]);
}

/** What is withheld comes first; then trolley positions in the order of the vocabulary; everything else keeps the order of the card. */
function sorted(list: Row[]): Row[] {
  const rank = (r: Row) => (choices.place as readonly string[]).indexOf(r.place ?? "");
  const placed = [...list].sort((a, b) => (trolley.has(a.place ?? "") && trolley.has(b.place ?? "") ? rank(a) - rank(b) : 0));
  return [...placed.filter((r) => r.struck === "withheld"), ...placed.filter((r) => r.struck !== "withheld")];
}
