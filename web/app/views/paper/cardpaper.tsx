import type { Card, Item, VariantView, View } from "../../generated/types";
import { said as inLanguage } from "../../lang/said";
import { dayShort, SafeHTML, unbroken } from "../../parts";
import type { Doc } from "../../state";
import { text } from "../../text";
import { textPaper } from "../../text-paper";
import { cardName, reviewState } from "../cardwords";
import { nameOf } from "../people";
import { questionsAt } from "../question";
import type { Block, Leaf, PaperSize } from "./leaves";
import { changes } from "./matrix";
import { Head, labelled, limitTables, placeBlocks, QuestionLine, runOn, said, Section, section, Sign, Things } from "./parts";

const words = textPaper;

/** Phases side by side in one table. */
const phasesAcross = { a4: 8, a5: 6 } as const;

/** A card for paper: everything but the drills in full, what speaks for it, sources and history. */
export function cardLeaf(of: Doc<Card>, view: View, paper: PaperSize): Leaf {
  const asked = new Set(of.questions.map((q) => q.unit));
  return {
    head: <CardHead of={of} />,
    wide: wideBlocks(of, view, asked, paper),
    narrow: [
      ...stepBlocks(view, asked),
      ...setupBlocks((of.body.items ?? []).filter((i) => !asked.has(`items/${i.key}`))),
      ...drugBlocks(view, asked),
      ...drillBlocks(view, asked),
      ...variantBlocks(of, view, asked),
      ...basicsBlocks(of, view),
      ...noteBlocks(of, view),
      { key: "not-here", node: <p class="leaf-quiet">{words.notHere}</p> },
    ],
  };
}

/** The part of a card that is looked at beside the machine, small enough for half a page. It says itself what is not on it. */
export function shortLeaf(of: Doc<Card>, view: View, paper: PaperSize): Leaf {
  const asked = new Set(of.questions.map((q) => q.unit));
  return {
    head: <CardHead of={of} />,
    wide: [{ key: "short", node: <p class="leaf-stop"><strong>{words.short}</strong> {words.shortLacks}</p> }, ...wideBlocks(of, view, asked, paper)],
    narrow: [...stepNames(view, asked), ...variantBlocks(of, view, asked, false), ...basicsBlocks(of, view)],
  };
}

/** What must not be overlooked, and the limits. */
function wideBlocks(of: Doc<Card>, view: View, asked: ReadonlySet<string>, paper: PaperSize): Block[] {
  return [
    ...of.questions.map((q): Block => ({ key: `question-${q.id}`, node: <QuestionLine question={q} ask={of.body.owner} /> })),
    ...cautionBlocks(view),
    ...limitBlocks(of, view, asked, phasesAcross[paper]),
  ];
}

function CardHead({ of }: { of: Doc<Card> }) {
  const newest = of.history[of.history.length - 1];
  const review = of.body.review ? dayShort(of.body.review) : "";
  const due = { none: words.noReview, fine: words.review(review), soon: words.review(review), over: words.reviewOver(review) }[reviewState(of.body)];
  const proposals = of.proposals?.length ?? 0;
  return (
    <Head title={cardName(of.body)} path={`/cards/${of.id}`} current={words.currentRevision(of.rev)}
      lines={[
        <><strong>{words.cardOf(nameOf(of.body.owner))}</strong> · <strong>{words.revision(of.rev)}</strong>{newest && `, ${words.changed(dayShort(newest.at), nameOf(newest.by))}`} · {due}</>,
        ...(of.waiting > 0 ? [words.waiting(of.waiting)] : []),
        ...(proposals > 0 ? [words.proposals(proposals)] : []),
      ]} />
  );
}

function cautionBlocks(view: View): Block[] {
  const cautions = view.cautions ?? [];
  if (cautions.length === 0) return [];
  return [{ key: "cautions", node: <Things>{cautions.map((c) => <li key={c.path + c.text}><Sign weight="caution" /> {unbroken(c.text)}</li>)}</Things> }];
}

function limitBlocks(of: Doc<Card>, view: View, asked: ReadonlySet<string>, most: number): Block[] {
  const phases = view.phases ?? [];
  const { profile } = of.body.machine;
  const machine = asked.has("machine/profile") ? "" : profile ? text.limitsFor(profile) : text.limitsNoMachine;
  const notes = phases.filter((p) => p.note && !asked.has(`phases/${p.key}`));
  return [
    { key: "limits", node: <Section title={words.limits} mind={`${machine} ${words.limitsMind} ${words.notStatedMeans}`} /> },
    ...limitTables(phases.map((p) => ({ key: p.key, name: p.name, values: p.values ?? [], open: asked.has(`phases/${p.key}`) })), most),
    ...(notes.length > 0 ? [{ key: "phase-notes", node: <Things>{notes.map((p) => <li key={p.key}><strong>{p.name}:</strong> {unbroken(p.note ?? "")}</li>)}</Things> }] : []),
  ];
}

function stepBlocks(view: View, asked: ReadonlySet<string>): Block[] {
  const steps = view.steps ?? [];
  if (steps.length === 0) return [];
  return [section("steps", words.steps), ...steps.map((s, i): Block => ({
    key: `step-${s.key}`,
    node: (
      <p class="leaf-line">
        <span>{i + 1}</span>
        <span><strong>{s.title}</strong>{asked.has(`steps/${s.key}`) ? `: ${words.phaseOpen}` : <>{s.do && `: ${unbroken(s.do)}`}{s.checkpoint && <> <em>{words.doneWhen}:</em> {unbroken(s.checkpoint)}</>}</>}</span>
      </p>
    ),
  }))];
}

/** The steps by their names, in order. */
function stepNames(view: View, asked: ReadonlySet<string>): Block[] {
  const steps = view.steps ?? [];
  if (steps.length === 0) return [];
  return [section("steps", words.steps), ...runOn("step-names", steps.map((s, i) => `${i + 1} ${s.title}${asked.has(`steps/${s.key}`) ? ` (${words.phaseOpen})` : ""}`))];
}

function setupBlocks(items: readonly Item[]): Block[] {
  const mind = items.some((i) => i.counted) ? words.countedMeans : undefined;
  return [section("setup", words.setup, mind), ...placeBlocks(items, false, (i) => <ItemLine key={i.key} item={i} />)];
}

function ItemLine({ item: i }: { item: Item }) {
  const more = said([i.note && unbroken(i.note), (i.allergens ?? []).length > 0 && text.contains(i.allergens!.join(", "))]);
  return (
    <li>
      <strong>{i.quantity > 1 && `${text.times(i.quantity)} `}{i.name}</strong>{i.counted && ` ${words.countedMark}`}{more.length > 0 && ` ${more.join(" · ")}`}
    </li>
  );
}

function drugBlocks(view: View, asked: ReadonlySet<string>): Block[] {
  const drugs = (view.drugs ?? []).filter((d) => !asked.has(`drugs/${d.key}`));
  if (drugs.length === 0) return [];
  return [section("drugs", words.drugs, words.drugsMind), ...drugs.map((d): Block => ({
    key: `drug-${d.key}`,
    node: <p><strong>{d.name}</strong> {said([unbroken(d.text), d.state, d.prepared, d.note]).join(" · ")}</p>,
  }))];
}

function drillBlocks(view: View, asked: ReadonlySet<string>): Block[] {
  const drills = view.triggers ?? [];
  if (drills.length === 0) return [];
  const names = drills.map(({ trigger: t }) => (asked.has(`triggers/${t.key}`) ? `${t.title} (${words.phaseOpen})` : t.title));
  return [section("drills", words.drills, words.drillsMind), ...runOn("drill-names", names)];
}

function variantBlocks(of: Doc<Card>, view: View, asked: ReadonlySet<string>, items = true): Block[] {
  const variants = (view.variants ?? []).filter((v) => !asked.has(`variants/${v.key}`));
  if (variants.length === 0) return [];
  return [section("variants", words.variants, words.variantsMind), ...variants.map((v) => variantBlock(of, view, v, asked, items))];
}

/** A variant: what it is for, the limits it changes, and its items where those of the card stand. */
function variantBlock(of: Doc<Card>, view: View, v: VariantView, asked: ReadonlySet<string>, items: boolean): Block {
  const lines = [
    ...(v.phases ?? []).map((p) => phaseLine(view, p, asked)),
    ...(items ? variantItems(of.body, v) : []),
    ...said([v.note]),
  ];
  return {
    key: `variant-${v.key}`,
    node: (
      <div>
        <p class="leaf-place"><strong>{v.title}.</strong> {words.when} {v.when.map(unbroken).join("; ")}</p>
        <Things>{lines.map((l) => <li key={l}>{unbroken(l)}</li>)}</Things>
      </div>
    ),
  };
}

function variantItems(card: Card, { items, without }: VariantView): string[] {
  return said([
    (items ?? []).length > 0 && `${words.also}: ${items!.map((i) => itemInShort(card, i)).join("; ")}`,
    (without ?? []).length > 0 && `${words.without}: ${without!.join(", ")}`,
  ]);
}

/** What a variant changes in a phase. Where the card's own limits are in question, all of the variant's stand there. */
function phaseLine(view: View, p: NonNullable<VariantView["phases"]>[number], asked: ReadonlySet<string>): string {
  const base = asked.has(`phases/${p.key}`) ? undefined : view.phases?.find((b) => b.key === p.key)?.values;
  const { other, gone } = changes(base ?? [], p.values ?? []);
  const changed = said([labelled(other).join(" · "), gone.length > 0 && words.notIn(gone.map((g) => inLanguage(g.label.toLowerCase())).join(", "))]);
  return [changed.length > 0 ? words.phase(p.name, changed.join(" · ")) : words.phaseNew(p.name), ...said([p.note])].join(". ");
}

function itemInShort(card: Card, i: Item): string {
  const own = card.items?.find((c) => c.key === i.key);
  const at = own && own.place === i.place && own.state === i.state ? [] : [i.place, i.state];
  const more = said([...at, i.counted && !own?.counted && text.counted, i.note && i.note !== own?.note && i.note, (i.allergens ?? []).length > 0 && text.contains(i.allergens!.join(", "))]);
  return `${text.times(i.quantity)} ${i.name}${more.length > 0 ? ` (${more.join(", ")})` : ""}`;
}

function basicsBlocks(of: Doc<Card>, view: View): Block[] {
  const open = [...questionsAt(of, "basics"), ...questionsAt(of, "machine")];
  const hidden = new Set(open.flatMap((q) => [q.base, q.head, q.mine].flatMap((side) => Object.keys(side ?? {}))));
  const shown = [...(view.basics ?? []), ...(view.machine ?? [])].filter((v) => !hidden.has(v.id));
  if (shown.length === 0) return [];
  return [section("basics", words.surgeonMachine), ...runOn("basics", labelled(shown))];
}

function noteBlocks(of: Doc<Card>, view: View): Block[] {
  const extra = (of.body.extra ?? []).filter(() => questionsAt(of, "extra").length === 0);
  if (!view.notes_html && extra.length === 0) return [];
  const own: Block[] = view.notes_html && questionsAt(of, "notes").length === 0 ? [{ key: "notes-own", node: <SafeHTML html={view.notes_html} /> }] : [];
  return [section("notes", words.notes), ...own, ...extra.map((s): Block => ({ key: `extra-${s.title}`, node: <p class="leaf-pre"><strong>{s.title}.</strong> {s.body}</p> }))];
}
