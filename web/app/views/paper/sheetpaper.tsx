import type { Card, DrugLine, SetupLine, Special } from "../../generated/types";
import { Caution, dayInWords, dayShort, timeInWords, unbroken } from "../../parts";
import { doc, type SheetUse } from "../../state";
import { text } from "../../text";
import { textCase } from "../../text-case";
import { textPaper } from "../../text-paper";
import { reviewState } from "../cardwords";
import { handsApart } from "../hands";
import { sentence } from "../names";
import { newerThan } from "../newer";
import { eyeUnsettled, OtherCase } from "../othercase";
import { nameOf } from "../people";
import { drugTick } from "../setup";
import { cardQuestions } from "../unresolved";
import type { Block, Leaf } from "./leaves";
import { Box, Head, labelled, limitTables, placeBlocks, QuestionLine, runOn, said, Section, section, Sign, Things } from "./parts";

const words = textPaper;
const phasesAcross = 8;

/** What every page of a case begins with. */
export function SheetHead({ use }: { use: SheetUse }) {
  const { sheet } = use;
  const { made } = sheet;
  const card = doc<Card>("card", made.card);
  const eye = eyeUnsettled(use) ? textCase.sheet.eyeUnsettled : sheet.facts.find((f) => f.factor === "eye")?.text ?? textCase.sheet.noEye;
  const title = card?.body.title ?? sheet.title;
  const technique = title.toLowerCase().includes(sheet.technique.toLowerCase()) ? "" : ` · ${sheet.technique}`;
  return (
    <Head title={`${textCase.sheet.position(made.case.position)} · ${sentence(eye)}`} path={`/cards/${made.card}`}
      current={words.currentSheet(made.card_revision, made.rules_revision)}
      lines={[
        <><strong>{nameOf(made.case.surgeon)}</strong> · <strong>{title}</strong>{technique}</>,
        `${textCase.sheet.listOf(dayInWords(made.case.list))} · ${textCase.sheet.made(made.card_revision, made.rules_revision, timeInWords(use.madeAt))}`,
      ]} />
  );
}

/** What stands above everything else: the sheet may be of another case, or of an older card. */
function standing(use: SheetUse): Block[] {
  const newer = newerThan(use)?.parts ?? [];
  const card = doc<Card>("card", use.sheet.made.card)?.body;
  const over = card && reviewState(card) === "over" ? words.reviewOver(dayShort(card.review!)) : undefined;
  return [
    { key: "other-case", node: <OtherCase use={use} /> },
    ...newer.map((p): Block => ({ key: p.text, node: <p class="leaf-stop"><Sign weight="stop" word={textCase.sheet.newerTitle} /> {[p.text, ...p.changes].map(unbroken).join(" ")}</p> })),
    ...said([handsApart(use), over]).map((t): Block => ({ key: t, node: <Caution>{t}</Caution> })),
  ];
}

/** The set-up of a case for one page: what is special, limits, what lies where, drugs, the names of the drills. */
export function setupLeaf(use: SheetUse): Leaf {
  const asked = new Set(cardQuestions(use).map((q) => q.unit));
  const { surgeon } = use.sheet.made.case;
  return {
    head: <SheetHead use={use} />,
    wide: [
      ...standing(use),
      ...cardQuestions(use).map((q): Block => ({ key: `question-${q.id}`, node: <QuestionLine question={q} ask={surgeon} /> })),
      ...specialBlocks(use),
      ...limitBlocks(use, asked),
    ],
    narrow: [...setupBlocks(use, asked), ...drugBlocks(use, asked), ...stepBlocks(use, asked), ...drillBlocks(use, asked), ...basicsBlocks(use), ...factBlocks(use)],
  };
}

function specialBlocks(use: SheetUse): Block[] {
  const list = use.sheet.special ?? [];
  const line = (s: Special) => <><Sign weight={s.weight} /> {unbroken(s.text)} {reason(s.why)}</>;
  const cautions = list.filter((s) => s.weight !== "stop");
  return [
    ...list.filter((s) => s.weight === "stop").map((s): Block => ({ key: `special-${s.text}`, node: <p class="leaf-stop">{line(s)}</p> })),
    ...(cautions.length > 0 ? [{ key: "cautions", node: <Things>{cautions.map((s) => <li key={s.text}>{line(s)}</li>)}</Things> }] : []),
  ];
}

function reason(why: readonly { from: string; text: string }[] | undefined): string {
  const main = why?.find((w) => w.from !== "card") ?? why?.[0];
  return main ? words.reason(unbroken(main.text)) : "";
}

function limitBlocks(use: SheetUse, asked: ReadonlySet<string>): Block[] {
  const phases = use.sheet.limits;
  if (phases.length === 0) return [];
  const unit = (p: (typeof phases)[number]) => (p.variant ? `variants/${p.variant}` : `phases/${p.phase}`);
  const baseOpen = (p: (typeof phases)[number]) => asked.has(`phases/${p.phase}`);
  const profile = use.sheet.basics?.find((b) => b.id === "profile")?.value;
  const machine = asked.has("machine/profile") ? "" : profile ? textCase.limits.profile(profile) : textCase.limits.noProfile;
  const lines = phases.filter((p) => !asked.has(unit(p))).flatMap((p) => [p.note, ...(p.cautions ?? [])].filter((t): t is string => Boolean(t)).map((t) => [p.name, t.replace(`${p.name}: `, "")] as const));
  return [
    { key: "limits", node: <Section title={words.limits} mind={`${machine} ${words.limitsMind} ${words.notStatedMeans}`} /> },
    ...limitTables(phases.map((p) => ({
      key: p.phase, name: p.name, values: p.values, open: asked.has(unit(p)),
      variant: p.variant && (use.sheet.variants?.find((v) => v.key === p.variant)?.title ?? p.variant),
      base: p.variant && !baseOpen(p) ? p.base ?? [] : undefined,
    })), phasesAcross),
    ...(lines.length > 0 ? [{ key: "phase-notes", node: <Things>{lines.map(([name, t]) => <li key={name + t}><strong>{name}:</strong> {unbroken(t)}</li>)}</Things> }] : []),
  ];
}

function setupBlocks(use: SheetUse, asked: ReadonlySet<string>): Block[] {
  const mirrored = handsApart(use) !== undefined;
  const lines = use.sheet.setup;
  const struck = lines.filter((l) => l.struck && !toldAbove(use, l));
  const laid = lines.filter((l) => !l.struck && !asked.has(`items/${l.key}`));
  return [
    section("setup", words.setup, [mirrored && words.mirrored, laid.some((l) => l.counted) && words.countedMeans].filter(Boolean).join(" ")),
    ...struck.map((l): Block => ({ key: `struck-${l.key}`, node: <StruckLine line={l} /> })),
    ...placeBlocks(laid, mirrored, (l) => <LaidLine key={l.key} line={l} on={Boolean(use.ticks[l.key])} />),
  ];
}

function LaidLine({ line: l, on }: { line: SetupLine; on: boolean }) {
  const [first, ...rest] = (l.quantity > 1 ? `${text.times(l.quantity)} ${l.name}` : l.name).split(" "); // a box never stands away from its word
  return (
    <li>
      <span class="leaf-first"><Box on={on} /> <strong>{first}</strong></span><strong>{rest.map((w) => ` ${w}`)}</strong>{l.counted && ` ${words.countedMark}`}{l.note && ` ${unbroken(l.note)}`}
      {l.special && <> <strong class="leaf-special">{words.special}</strong> {reason(l.why)}</>}
    </li>
  );
}

/** A swap that is settled and stands by name in what is special needs no line of its own. */
function toldAbove(use: SheetUse, l: SetupLine | DrugLine): boolean {
  return l.struck === "substituted" && (use.sheet.special ?? []).some((s) => s.text.includes(l.name) && (!l.instead || s.text.includes(l.instead)));
}

/** Not laid out, with the word that says why and what stands in its place. */
function StruckLine({ line: l }: { line: SetupLine | DrugLine }) {
  const word = textCase.setup.struck[l.struck!] ?? l.struck!;
  const needsAnswer = l.struck === "conflict" || l.struck === "withheld";
  return (
    <p class={needsAnswer ? "leaf-stop" : undefined}>
      {needsAnswer ? <Sign weight="stop" word={word} /> : <strong>{word}.</strong>} <s>{l.name}</s>
      {l.instead && ` ${textCase.setup.instead(l.instead)}`} {textCase.setup.struckDo[l.struck!]} {reason(l.why)}
    </p>
  );
}

function drugBlocks(use: SheetUse, asked: ReadonlySet<string>): Block[] {
  const drugs = (use.sheet.drugs ?? []).filter((d) => !asked.has(`drugs/${d.key}`) && !toldAbove(use, d));
  if (drugs.length === 0) return [];
  return [section("drugs", words.drugs, words.drugsMind), ...drugs.map((d): Block => ({
    key: `drug-${d.key}`,
    node: d.struck ? <StruckLine line={d} /> : (
      <p class="leaf-line">
        <Box on={Boolean(use.ticks[drugTick(d.key)])} />
        <span><strong>{d.name}</strong> {said([unbroken(d.text), d.state, d.prepared, d.note]).join(" · ")}{d.special && <> <strong class="leaf-special">{words.special}</strong> {reason(d.why)}</>}</span>
      </p>
    ),
  }))];
}

function stepBlocks(use: SheetUse, asked: ReadonlySet<string>): Block[] {
  const steps = use.sheet.steps ?? [];
  if (steps.length === 0) return [];
  const struck = steps.filter((s) => s.struck);
  const names = steps.filter((s) => !s.struck).map((s) => (asked.has(`steps/${s.key}`) ? `${s.title} (${words.phaseOpen})` : s.title));
  return [
    section("steps", words.steps),
    ...struck.map((s): Block => ({ key: `step-${s.key}`, node: (
      <p class="leaf-stop"><Sign weight="stop" word={textCase.setup.struck[s.struck!] ?? s.struck!} /> <s>{s.title}{s.do && `: ${unbroken(s.do)}`}</s> {textCase.setup.struckDo[s.struck!]} {reason(s.why)}</p>
    ) })),
    ...runOn("step-names", names),
  ];
}

function drillBlocks(use: SheetUse, asked: ReadonlySet<string>): Block[] {
  const all = use.sheet.triggers;
  if (all.length === 0) return [];
  const fromUnit = (t: (typeof all)[number]) => t.why.some((w) => w.from === "unit drill");
  const name = (t: (typeof all)[number]) => (!fromUnit(t) && asked.has(`triggers/${t.trigger.key}`) ? `${t.trigger.title} (${words.phaseOpen})` : t.trigger.title);
  const raised = all.filter((t) => t.raised);
  return [
    section("drills", words.drills, words.drillsMind),
    ...raised.map((t): Block => ({ key: `raised-${t.trigger.key}`, node: <p><Sign weight="caution" word={name(t)} /> {words.raised}</p> })),
    ...runOn("drill-names", all.filter((t) => !t.raised).map(name)),
  ];
}

function basicsBlocks(use: SheetUse): Block[] {
  const open = cardQuestions(use).filter((q) => q.unit.startsWith("basics/") || q.unit.startsWith("machine/"));
  const hidden = new Set(open.flatMap((q) => [q.base, q.head, q.mine].flatMap((side) => Object.keys(side ?? {}))));
  const shown = (use.sheet.basics ?? []).filter((b) => !hidden.has(b.id));
  if (shown.length === 0) return [];
  return [section("basics", words.surgeonMachine), ...runOn("basics", labelled(shown))];
}

function factBlocks(use: SheetUse): Block[] {
  const { facts, not_known = [], made } = use.sheet;
  return [
    section("facts", words.facts, facts.length === 0 ? words.none : words.factsMind),
    ...runOn("facts", facts.map((f) => `${f.label}: ${f.text}`)),
    ...(made.case.note ? [{ key: "case-note", node: <p>{unbroken(made.case.note)}</p> }] : []),
    ...(not_known.length > 0 ? [section("unknown", words.notKnown), ...runOn("unknown", not_known.map((f) => f.label))] : []),
  ];
}
