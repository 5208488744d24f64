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
  questions: readonly Pick<Question, "unit" | "label" | "head" | "mine" | "base" | "head_text" | "mine_text">[];
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

/** What stands for an id on the screen. */
export type Names = (id: string) => string;

/** Everything both sides say, in the order of a card. titleOf: of a card; nameOf: of a person. */
export function compareCards(here: Compared, there: Compared, titleOf: Names, nameOf: Names): Part[] {
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
    one("card", words.card, headLines(here, there, nameOf)),
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
  const open = asked(s, unit);
  return open.length > 0 ? open.map(bothValues).join("\n") : plain;
}

/** The unit that each side is asked about in a line: its own, or the other's where it has none. */
type Units = readonly [here: string, there: string];

function unitsOf<T>(list: string, [a, b]: Pair<T>, key: (t: T) => string): Units {
  return [`${list}/${key((a ?? b)!)}`, `${list}/${key((b ?? a)!)}`];
}

const isIn = (list: string) => (unit: string) => unit === list || unit.startsWith(`${list}/`);

function listed<T>(
  here: Compared, there: Compared, list: string, of: (s: Compared) => readonly T[], name: (t: T) => string, say: (t: T) => string,
  key: (t: T) => string = (t) => (t as unknown as { key: string }).key,
): Line[] {
  const pairs = paired(of(here), of(there), key, name);
  const told = pairs.map((p) => unitsOf(list, p, key));
  const lines = pairs.map(([a, b], i): Line => ({
    label: name((a ?? b)!),
    here: says(here, told[i]![0], a ? named(say(a), a, b, name) : null),
    there: says(there, told[i]![1], b ? named(say(b), b, a, name) : null),
  }));
  return [...lines, ...askedOrder(here, there, list, (s) => of(s).map(name)), ...onlyAsked(here, there, isIn(list), [...told, orderOf(list)])];
}

/** Where both call one thing differently, each says its name. */
function named<T>(said: string, t: T, other: T | undefined, name: (t: T) => string): string {
  return other !== undefined && name(other) !== name(t) ? `${name(t)}\n${said}` : said;
}

function orderOf(list: string): Units {
  return [`${list}/order`, `${list}/order`];
}

/** The order where a side is asked about it, as each side has it. */
function askedOrder(here: Compared, there: Compared, list: string, names: (s: Compared) => readonly string[]): Line[] {
  const [unit] = orderOf(list);
  if (asked(here, unit).length + asked(there, unit).length === 0) return [];
  const side = (s: Compared) => says(s, unit, names(s).join("\n") || null);
  return [{ label: words.order, here: side(here), there: side(there) }];
}

/** Questions that no other line tells: about what stands in neither list. */
function onlyAsked(here: Compared, there: Compared, isOf: (unit: string) => boolean, told: readonly Units[]): Line[] {
  const open = (s: Compared, side: 0 | 1) => s.questions.filter((q) => isOf(q.unit) && !told.some((u) => u[side] === q.unit));
  const [a, b] = [open(here, 0), open(there, 1)];
  const side = (s: Compared, list: typeof a, unit: string) => (list.some((q) => q.unit === unit) ? says(s, unit, null) : null);
  return [...new Map([...a, ...b].map((q) => [q.unit, q.label]))].map(([unit, label]) => ({ label, here: side(here, a, unit), there: side(there, b, unit) }));
}

export function shownText(s: Pick<Shown, "value" | "unit" | "extra">): string {
  return [s.value + (s.unit ? `\u00a0${s.unit}` : ""), s.extra].filter(Boolean).join(", ");
}

function shownLines(here: readonly Shown[], there: readonly Shown[]): Line[] {
  return paired(here, there, (s) => s.id, (s) => s.label).map(([a, b]): Line => ({ label: (a ?? b)!.label, here: a ? shownText(a) : null, there: b ? shownText(b) : null }));
}

function phaseGroups(here: Compared, there: Compared): Group[] {
  const pairs = paired(here.view.phases ?? [], there.view.phases ?? [], (p) => p.key, (p) => p.kind ?? p.name);
  const told = pairs.map((p) => unitsOf("phases", p, (x) => x.key));
  return [
    ...pairs.map((p, i) => phaseGroup(here, there, p, told[i]!)),
    ...titled(words.order, orderOfPhases(here, there, pairs)),
    ...titled(text.questionHead, onlyAsked(here, there, isIn("phases"), [...told, orderOf("phases")])),
  ];
}

function titled(title: string, lines: Line[]): Group[] {
  return lines.length > 0 ? [{ title, lines }] : [];
}

function phaseGroup(here: Compared, there: Compared, [a, b]: Pair<PhaseView>, [unitA, unitB]: Units): Group {
  const title = (a ?? b)!.name;
  if (asked(here, unitA).length + asked(there, unitB).length > 0) {
    return { title, lines: [{ label: words.limits, here: says(here, unitA, a ? phaseText(a) : null), there: says(there, unitB, b ? phaseText(b) : null) }] };
  }
  const lines = shownLines(a?.values ?? [], b?.values ?? []);
  if (a && b && a.name !== b.name) lines.unshift({ label: words.name, here: a.name, there: b.name });
  if (a?.note || b?.note) lines.push({ label: words.note, here: a?.note ?? null, there: b?.note ?? null });
  if (lines.length === 0) lines.push({ label: words.limits, here: a ? text.nothingStated : null, there: b ? text.nothingStated : null });
  return { title, lines };
}

function orderOfPhases(here: Compared, there: Compared, pairs: readonly Pair<PhaseView>[]): Line[] {
  const open = askedOrder(here, there, "phases", (s) => (s.view.phases ?? []).map((p) => p.name));
  return open.length > 0 ? open : orderLines(pairs, there.view.phases ?? [], (p) => p.name);
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
  const lines = listed(here, there, "steps", (s) => s.view.steps ?? [], (s) => s.title, stepText);
  const inQuestion = askedOrder(here, there, "steps", () => []).length > 0; // then it stands in the list's own lines
  return inQuestion ? lines : [...lines, ...orderLines(paired(a, b, (s) => s.key, (s) => s.title), b, (s) => s.title)];
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
  return [...lines, ...onlyAsked(here, there, isIn("fit"), [])];
}

/** Notes by paragraph: one that was changed stands as the one here and the one there. */
function noteLines(here: Compared, there: Compared): Line[] {
  const cut = (s: Compared) => (s.body.notes ?? "").split(/\n\s*\n/).map((p) => p.trim()).filter(Boolean);
  const lines = paired(cut(here), cut(there), (p) => p, (p) => p).map(([a, b]): Line => ({ label: words.paragraph, here: a ?? null, there: b ?? null }));
  const extra = listed(here, there, "extra", (s) => s.body.extra ?? [], (e) => e.title, (e) => e.body, (e) => e.title);
  return [...lines, ...onlyAsked(here, there, isIn("notes"), []), ...extra];
}

/** What a question names stands in the question and nowhere else; where one side alone is asked, the other says all that it names. */
function shownGroup(title: string, group: "basics" | "machine", here: Compared, there: Compared): Group {
  const open = new Map([...here.questions, ...there.questions].filter((q) => isIn(group)(q.unit)).map((q) => [q.unit, q.label]));
  const asks = [...open].map(([unit, label]) => ({ unit, label, ids: idsIn([...asked(here, unit), ...asked(there, unit)]) }));
  const free = (s: Compared) => (s.view[group] ?? []).filter((v) => !asks.some((q) => q.ids.has(v.id)));
  const lines = asks.map(({ unit, label, ids }): Line => {
    const values = (s: Compared) => (s.view[group] ?? []).filter((v) => ids.has(v.id));
    const labels = new Map([...values(here), ...values(there)].map((v) => [v.id, v.label]));
    const [only] = labels.size === 1 ? [...labels.values()] : [];
    const side = (s: Compared) => says(s, unit, values(s).map((v) => (only ? "" : `${v.label} `) + shownText(v)).join("\n") || null);
    return { label: only ?? label, here: side(here), there: side(there) };
  });
  return { title, lines: [...lines, ...shownLines(free(here), free(there))] };
}

/** The values that questions are about. */
function idsIn(questions: Compared["questions"]): Set<string> {
  return new Set(questions.flatMap((q) => [q.base, q.head, q.mine]).flatMap((side) => Object.keys(Object(side ?? {}))));
}

const heads = ["title", "technique", "owner", "review"];
const places = ["phases", "items", "steps", "triggers", "drugs", "variants", "fit", "notes", "extra", "basics", "machine"].map(isIn);

function headLines(here: Compared, there: Compared, nameOf: Names): Line[] {
  const line = (label: string, unit: string, plain: (c: Card) => string | null | undefined): Line =>
    ({ label, here: says(here, unit, plain(here.body) ?? null), there: says(there, unit, plain(there.body) ?? null) });
  const lines = [
    line(words.titleOf, "title", (c) => c.title),
    ownerLine(here, there, nameOf),
    line(words.technique, "technique", (c) => (c.technique === "unit's own" && c.technique_name ? c.technique_name : c.technique)),
    line(words.review, "review", (c) => c.review),
  ];
  // A question about something that has no place here is told all the same.
  const rest = onlyAsked(here, there, (unit) => !heads.includes(unit) && !places.some((has) => has(unit)), []);
  return [...lines.filter((l) => l.here !== null || l.there !== null), ...rest];
}

function ownerLine(here: Compared, there: Compared, nameOf: Names): Line {
  const side = (s: Compared) => {
    const questions = asked(s, "owner").map((q) => ({ ...q, head_text: nameOf(q.head_text), mine_text: nameOf(q.mine_text) }));
    return says({ ...s, questions }, "owner", nameOf(s.body.owner));
  };
  return { label: words.owner, here: side(here), there: side(there) };
}
