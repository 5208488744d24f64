// Two cards, or two revisions of one, value by value, grouped as a card is.
// The words of the core's diff lead from one to the other and leave out what is
// the same; here both sides stand beside each other, so the values of the views
// are compared, which the core made. Pure.

import type { Card, DrugView, Item, PhaseView, Question, Shown, StepView, TriggerView, VariantView, View } from "../generated/types";
import { unbroken } from "../parts/unbroken";
import { text } from "../text";
import { textCompare as words } from "../text-compare";

/** One of the two. */
export interface Compared {
  body: Card;
  view: View;
  questions: readonly Pick<Question, "unit" | "head" | "mine" | "base" | "head_text" | "mine_text">[];
}

/** One thing that a person decides, as each side says it; null where it says nothing of it. Lines of a text are compared each. */
export interface Line {
  label: string;
  here: string | null;
  there: string | null;
}

/** What belongs together; a phase that is on one side only is said to be. */
export interface Group {
  title: string;
  lines: Line[];
}

export interface Part {
  id: string;
  title: string;
  groups: Group[];
}

export type Names = (card: string) => string;

/** Everything both sides say, in the order of a card. */
export function compareCards(here: Compared, there: Compared, titleOf: Names): Part[] {
  const one = (id: string, title: string, lines: Line[]): Part => ({ id, title, groups: lines.length > 0 ? [{ title: "", lines }] : [] });
  return [
    { id: "limits", title: text.limits, groups: phaseGroups(here, there) },
    one("setup", text.setup, listed(here, there, "items", (s) => s.body.items ?? [], (i) => i.name, itemText)),
    one("steps", text.steps, stepLines(here, there)),
    one("if", text.ifThen, listed(here, there, "triggers", (s) => s.view.triggers ?? [], (t) => t.trigger.title, (t) => triggerText(t, titleOf), (t) => t.trigger.key)),
    one("drugs", text.drugs, listed(here, there, "drugs", (s) => s.view.drugs ?? [], (d) => d.name, drugText)),
    one("variants", text.variants, listed(here, there, "variants", (s) => s.view.variants ?? [], (v) => v.title, variantText)),
    one("fit", text.fit, fitLines(here, there)),
    one("notes", text.notes, noteLines(here, there)),
    { id: "surgeon", title: text.surgeonMachine, groups: [shownGroup(text.surgeon, "basics", here, there), shownGroup(text.machine, "machine", here, there)].filter((g) => g.lines.length > 0) },
    one("card", words.card, headLines(here, there)),
  ].filter((p) => p.groups.length > 0);
}

export function isSame(l: Line): boolean {
  return l.here === l.there;
}

/** How many lines of the parts differ, and how many are the same. */
export function counted(parts: readonly Part[]): { differ: number; same: number } {
  const lines = parts.flatMap((p) => p.groups.flatMap((g) => g.lines));
  const same = lines.filter(isSame).length;
  return { differ: lines.length - same, same };
}

/** The lines of one side's text, each with whether the other side lacks it. */
export function markedLines(own: string, other: string | null): { text: string; differs: boolean }[] {
  const others = new Set((other ?? "").split("\n"));
  return own.split("\n").map((line) => ({ text: line, differs: !others.has(line) }));
}

type Pair<T> = [T, T | undefined] | [undefined, T];

/** What belongs together on both sides: the same key, else the same name. In the order of the first, what only the second has after what it follows there. */
export function paired<T>(here: readonly T[], there: readonly T[], key: (t: T) => string, name: (t: T) => string): Pair<T>[] {
  const free = new Set(there);
    const found = new Map<T, T>();
  const take = (by: (t: T) => string) => {
    for (const t of here) {
      const other = found.has(t) ? undefined : [...free].find((x) => by(x) === by(t));
      if (other === undefined) continue;
      found.set(t, other);
      free.delete(other);
    }
  };
  take(key);
  take((t) => name(t).trim().toLowerCase());
  const pairs: Pair<T>[] = here.map((t) => [t, found.get(t)]);
  there.forEach((t, i) => {
    if (!free.has(t)) return;
    const before = there[i - 1];
    const at = pairs.findIndex(([, x]) => x !== undefined && x === before);
    pairs.splice(before === undefined ? 0 : at + 1, 0, [undefined, t]);
  });
  return pairs;
}

/** The questions open at exactly this unit. */
function asked(s: Compared, unit: string) {
  return s.questions.filter((q) => q.unit === unit);
}

function bothValues(q: Compared["questions"][number]): string {
  return unbroken(words.twoValues(q.head_text || words.nothing, q.mine_text || words.nothing));
}

/** What a side says at a unit: both values where nobody has decided, so that neither stands alone. */
function says(s: Compared, unit: string, plain: string | null): string | null {
  const [q] = asked(s, unit);
  return q ? bothValues(q) : plain;
}

function listed<T extends { key?: string } | TriggerView>(
  here: Compared, there: Compared, list: string, of: (s: Compared) => readonly T[], name: (t: T) => string, say: (t: T) => string,
  key: (t: T) => string = (t) => (t as { key: string }).key,
): Line[] {
  const lines = paired(of(here), of(there), key, name).map(([a, b]): Line => ({
    label: name((a ?? b)!),
    here: says(here, `${list}/${key((a ?? b)!)}`, a ? named(say(a), a, b, name) : null),
    there: says(there, `${list}/${key((b ?? a)!)}`, b ? named(say(b), b, a, name) : null),
  }));
  return [...lines, ...onlyAsked(here, there, list, new Set([...of(here), ...of(there)].map(key)))];
}

/** Where both call one thing differently, each says its name. */
function named<T>(said: string, t: T, other: T | undefined, name: (t: T) => string): string {
  return other !== undefined && name(other) !== name(t) ? `${name(t)}\n${said}` : said;
}

/** Questions about what stands in neither list, or about its order. */
function onlyAsked(here: Compared, there: Compared, list: string, known: ReadonlySet<string>): Line[] {
  const units = [...here.questions, ...there.questions].map((q) => q.unit).filter((u) => u.startsWith(`${list}/`) && !known.has(u.slice(list.length + 1)));
  return [...new Set(units)].map((u) => ({ label: u === `${list}/order` ? words.order : u.slice(list.length + 1), here: says(here, u, null), there: says(there, u, null) }));
}

export function shownText(s: Pick<Shown, "value" | "unit" | "extra">): string {
  return [s.value + (s.unit ? `\u00a0${s.unit}` : ""), s.extra].filter(Boolean).join(", ");
}

function shownLines(here: readonly Shown[], there: readonly Shown[]): Line[] {
  return paired(here, there, (s) => s.id, (s) => s.label).map(([a, b]): Line => ({ label: (a ?? b)!.label, here: a ? shownText(a) : null, there: b ? shownText(b) : null }));
}

function phaseGroups(here: Compared, there: Compared): Group[] {
  const pairs = paired(here.view.phases ?? [], there.view.phases ?? [], (p) => p.key, (p) => p.kind ?? p.name);
  return [...pairs.map(([a, b]) => phaseGroup(here, there, a, b)), ...orderGroup(pairs, there.view.phases ?? [])];
}

function phaseGroup(here: Compared, there: Compared, a: PhaseView | undefined, b: PhaseView | undefined): Group {
  const title = (a ?? b)!.name;
  const [unitA, unitB] = [`phases/${(a ?? b)!.key}`, `phases/${(b ?? a)!.key}`];
  if (asked(here, unitA).length + asked(there, unitB).length > 0) {
    return { title, lines: [{ label: words.limits, here: says(here, unitA, a ? phaseText(a) : null), there: says(there, unitB, b ? phaseText(b) : null) }] };
  }
  const lines = shownLines(a?.values ?? [], b?.values ?? []);
  if (a && b && a.name !== b.name) lines.unshift({ label: words.name, here: a.name, there: b.name });
  if (a?.note || b?.note) lines.push({ label: words.note, here: a?.note ?? null, there: b?.note ?? null });
  if (lines.length === 0) lines.push({ label: words.limits, here: a ? text.nothingStated : null, there: b ? text.nothingStated : null });
  return { title, lines };
}

function orderGroup(pairs: readonly Pair<PhaseView>[], there: readonly PhaseView[]): Group[] {
  const lines = orderLines(pairs, there, (p) => p.name);
  return lines.length > 0 ? [{ title: words.order, lines }] : [];
}

/** A line where what both have stands in another order; none where it does not. */
function orderLines<T>(pairs: readonly Pair<T>[], there: readonly T[], name: (t: T) => string): Line[] {
  const both = pairs.flatMap(([a, b]): [T, T][] => (a !== undefined && b !== undefined ? [[a, b]] : []));
  const sorted = [...both].sort((x, y) => there.indexOf(x[1]) - there.indexOf(y[1]));
  if (sorted.every((p, i) => p === both[i])) return [];
  return [{ label: words.order, here: both.map(([a]) => name(a)).join("\n"), there: sorted.map(([, b]) => name(b)).join("\n") }];
}

function phaseText(p: PhaseView): string {
  return [...(p.values ?? []).map((v) => `${v.label} ${shownText(v)}`), p.note].filter(Boolean).join("\n");
}

function itemText(i: Item): string {
  return [
    `${text.times(i.quantity)} ${i.state}`, i.place && words.place(i.place), i.counted && text.counted, i.note,
    i.allergens && i.allergens.length > 0 && text.contains(i.allergens.join(", ")),
  ].filter(Boolean).join("\n");
}

function drugText(d: DrugView): string {
  return [d.text, d.state, d.prepared, d.note].filter(Boolean).join("\n");
}

function stepText(s: StepView): string {
  return [s.phase, s.do, s.checkpoint && `${text.doneWhen}: ${s.checkpoint}`].filter(Boolean).join("\n") || s.title;
}

function stepLines(here: Compared, there: Compared): Line[] {
  const [a, b] = [here.view.steps ?? [], there.view.steps ?? []];
  const order = orderLines(paired(a, b, (s) => s.key, (s) => s.title), b, (s) => s.title);
  return [...listed(here, there, "steps", (s) => s.view.steps ?? [], (s) => s.title, stepText), ...order];
}

const roles = () => [["surgeon", text.roleSurgeon], ["scrub", text.roleScrub], ["circulating", text.roleCirculating], ["anaesthesia", text.roleAnaesthesia]] as const;

function triggerText({ trigger: t, opens = [] }: TriggerView, titleOf: Names): string {
  const then = [t.next, t.next_card && titleOf(t.next_card)].filter(Boolean).join(" ");
  return [
    `${text.seen}: ${t.seen}`, `${text.say}: ${t.say}`,
    ...roles().flatMap(([role, name]) => (t[role] ?? []).map((line) => `${name}: ${line}`)),
    opens.length > 0 && `${text.openNow}: ${opens.map((o) => o.name).join(", ")}`,
    then && `${text.then}: ${then}`,
  ].filter(Boolean).join("\n");
}

function variantText(v: VariantView): string {
  return [
    `${text.when}: ${v.when.join("; ")}`,
    ...(v.phases ?? []).flatMap((p) => (p.values ?? []).map((s) => `${p.name}: ${s.label} ${shownText(s)}`)),
    v.items && v.items.length > 0 && `${text.also}: ${v.items.map((i) => `${text.times(i.quantity)} ${i.name}`).join(", ")}`,
    v.without && v.without.length > 0 && `${text.without}: ${v.without.join(", ")}`,
    v.note,
  ].filter(Boolean).join("\n");
}

function fitLines(here: Compared, there: Compared): Line[] {
  const say = (f: { speaks: string; reason: string } | undefined) => (f ? `${f.speaks === "for" ? text.speaksFor : text.speaksAgainst}: ${f.reason}` : null);
  const lines = paired(here.view.fit ?? [], there.view.fit ?? [], (f) => `${f.speaks} ${f.text}`, (f) => f.text)
    .map(([a, b]): Line => ({ label: (a ?? b)!.text, here: say(a), there: say(b) }));
  return [...lines, ...onlyAsked(here, there, "fit", new Set())];
}

/** Notes by paragraph: one that was changed stands as the one here and the one there. */
function noteLines(here: Compared, there: Compared): Line[] {
  const cut = (s: Compared) => (s.body.notes ?? "").split(/\n\s*\n/).map((p) => p.trim()).filter(Boolean);
  const lines = paired(cut(here), cut(there), (p) => p, (p) => p).map(([a, b]): Line => ({ label: words.paragraph, here: a ?? null, there: b ?? null }));
  const extra = paired(here.body.extra ?? [], there.body.extra ?? [], (s) => s.title, (s) => s.title)
    .map(([a, b]): Line => ({ label: (a ?? b)!.title, here: a?.body ?? null, there: b?.body ?? null }));
  const open = [...here.questions, ...there.questions].map((q) => q.unit).filter((u) => u === "notes" || u.startsWith("notes/"));
  return [...lines, ...extra, ...[...new Set(open)].map((u) => ({ label: text.notes, here: says(here, u, null), there: says(there, u, null) })), ...onlyAsked(here, there, "extra", new Set())];
}

/** What a question names stands in the question and nowhere else. */
function shownGroup(title: string, group: "basics" | "machine", here: Compared, there: Compared): Group {
  const open = (s: Compared) => s.questions.filter((q) => q.unit === group || q.unit.startsWith(`${group}/`));
  const values = (s: Compared) => (s.view[group] ?? []).map((v): Shown => {
    const q = open(s).find((x) => [x.base, x.head, x.mine].some((side) => v.id in Object(side ?? {})));
    return q ? { id: v.id, label: v.label, value: bothValues(q) } : v;
  });
  return { title, lines: shownLines(values(here), values(there)) };
}

function headLines(here: Compared, there: Compared): Line[] {
  const technique = (s: Compared) => says(s, "technique", s.body.technique === "unit's own" && s.body.technique_name ? s.body.technique_name : s.body.technique);
  const lines: Line[] = [
    { label: words.titleOf, here: says(here, "title", here.body.title), there: says(there, "title", there.body.title) },
    { label: words.technique, here: technique(here), there: technique(there) },
    { label: words.review, here: says(here, "review", here.body.review ?? null), there: says(there, "review", there.body.review ?? null) },
  ];
  return lines.filter((l) => l.here !== null || l.there !== null);
}
