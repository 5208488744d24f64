// What would read differently on a newly made sheet, line by line: the result of all changes since, not their steps. Pure.

import type { DrugLine, PhaseLimits, SetupLine, Sheet, Shown, Struck, TriggerSheet } from "../generated/types";
import { textCase } from "../text-case";

const words = textCase.sheet.difference;

export interface Difference {
  change: "added" | "removed" | "changed";
  part: string;
  name: string;
  /** What the line says: as it would be where it is added, as it is where it is removed. */
  text: string;
  /** Each thing that changed, with both its sides. */
  changes: { was: string; now: string }[];
}

/** A line as it is read: what it is called, and what it says, part by part. */
interface Line {
  part: string;
  key: string;
  name: string;
  says: string[];
}

/** In which lines two sheets of one case differ; what is added or changed first, in the order of the sheet, then what is gone. */
export function differences(from: Sheet, to: Sheet): Difference[] {
  const before = new Map(linesOf(from).map((l) => [l.part + "\n" + l.key, l]));
  const after = new Map(linesOf(to).map((l) => [l.part + "\n" + l.key, l]));
  const out: Difference[] = [];
  for (const [key, l] of after) {
    const was = before.get(key);
    if (!was) out.push(whole("added", l));
    else if (!same(was, l)) out.push({ ...whole("changed", l), changes: changesOf(was, l) });
  }
  for (const [key, l] of before) if (!after.has(key)) out.push(whole("removed", l));
  return out;
}

/** What the limits of one phase would say on a sheet made now, by the name of the value; "" where it would be gone. */
export interface LimitsNow {
  changed: Map<string, string>;
  added: string[];
}

export function limitsNow(list: readonly Difference[], phase: PhaseLimits): LimitsNow {
  const of = new Map(list.filter((d) => d.part === words.parts.limits).map((d) => [d.name, d]));
  const changed = new Map<string, string>();
  for (const { label } of phase.values) {
    const d = of.get(nameOfLimit(phase, label));
    if (d) changed.set(label, d.change === "removed" ? "" : d.changes.map((c) => c.now).join(", "));
  }
  const added = [...of.values()].filter((d) => d.change === "added" && d.name.startsWith(nameOfLimit(phase, "")));
  return { changed, added: added.map((d) => `${d.name.slice(nameOfLimit(phase, "").length)} ${d.text}`) };
}

function nameOfLimit(p: PhaseLimits, label: string): string {
  return `${p.name}: ${label}`;
}

function whole(change: Difference["change"], l: Line): Difference {
  return { change, part: l.part, name: l.name, text: l.says.filter(Boolean).join(", "), changes: [] };
}

function same(a: Line, b: Line): boolean {
  return a.name === b.name && a.says.length === b.says.length && a.says.every((s, i) => s === b.says[i]);
}

function changesOf(was: Line, now: Line): Difference["changes"] {
  const sides = now.says.map((s, i) => ({ was: was.says[i] ?? "", now: s }));
  const name = { was: was.name, now: now.name };
  return [name, ...sides].filter((s) => s.was !== s.now).map((s) => ({ was: s.was || words.nothing, now: s.now || words.nothing }));
}

function linesOf(s: Sheet): Line[] {
  return [
    ...(s.special ?? []).map((x): Line => ({ part: words.parts.special, key: x.text, name: textCase[x.weight], says: [x.text] })),
    ...s.setup.map((x): Line => ({ part: words.parts.setup, key: x.key, name: x.name, says: setupSays(x) })),
    ...(s.drugs ?? []).map((x): Line => ({ part: words.parts.drugs, key: x.key, name: x.name, says: drugSays(x) })),
    ...s.limits.flatMap((p) => limitLines(p)),
    ...(s.steps ?? []).map((x): Line => ({ part: words.parts.steps, key: x.key, name: x.title, says: [x.do ?? "", x.checkpoint ?? "", struckSays(x.struck)] })),
    ...s.pauses.flatMap((p) => p.lines.map((x): Line => ({ part: p.id.charAt(0).toUpperCase() + p.id.slice(1), key: x.id, name: x.text, says: [x.expect ?? "", x.stored ?? "", x.ask, x.answer] }))),
    ...s.triggers.map((x): Line => ({ part: words.parts.triggers, key: x.trigger.key, name: x.trigger.title, says: triggerSays(x) })),
    ...(s.variants ?? []).map((x): Line => ({ part: words.parts.variants, key: x.key, name: x.title, says: [x.holds ? textCase.sheet.variantHolds : textCase.sheet.variantOpen, x.note ?? ""] })),
    ...(s.basics ?? []).map((x): Line => ({ part: words.parts.basics, key: x.id, name: x.label, says: [shown(x)] })),
    ...s.facts.map((x): Line => ({ part: words.parts.facts, key: x.factor, name: x.label, says: [x.text] })),
    { part: words.parts.notes, key: "", name: words.parts.notes, says: [plain(s.notes_html ?? "")] },
    { part: words.parts.title, key: "", name: words.parts.title, says: [s.title, s.technique] },
  ];
}

function setupSays(l: SetupLine): string[] {
  return [
    textCase.setup.times(l.quantity), l.state === "open" ? textCase.setup.open : textCase.setup.ready, l.place ?? "",
    l.counted ? textCase.setup.counted : "", l.note ?? "", struckSays(l.struck, l.instead),
  ];
}

function drugSays(l: DrugLine): string[] {
  return [l.text, l.state === "open" ? textCase.setup.open : textCase.setup.ready, l.prepared ?? "", l.note ?? "", struckSays(l.struck, l.instead)];
}

/** Value by value, because that is what somebody standing at the machine asks. */
function limitLines(p: PhaseLimits): Line[] {
  const value = (v: Shown): Line => ({ part: words.parts.limits, key: `${p.phase}/${v.id}`, name: nameOfLimit(p, v.label), says: [shown(v)] });
  return [...p.values.map(value), { part: words.parts.limits, key: `${p.phase}/`, name: p.name, says: [p.note ?? ""] }];
}

function triggerSays({ trigger: t, opens, raised }: TriggerSheet): string[] {
  const roles = [t.surgeon, t.scrub, t.circulating, t.anaesthesia].map((list) => (list ?? []).join("; "));
  return [raised ? textCase.drills.raised : "", t.seen, t.say, ...roles, (opens ?? []).map((o) => o.name).join(", "), t.next ?? ""];
}

function struckSays(struck: Struck | undefined, instead?: string): string {
  if (!struck) return "";
  return instead ? `${textCase.setup.struck[struck]}: ${instead}` : textCase.setup.struck[struck] ?? struck;
}

function shown({ value, unit, extra }: Shown): string {
  const amount = unit ? `${value}\u00a0${unit}` : value;
  return extra ? `${amount}, ${extra}` : amount;
}

function plain(html: string): string {
  return html.replace(/<[^>]*>/g, " ").replace(/\s+/g, " ").trim();
}
