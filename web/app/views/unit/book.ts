import type { Action, ActionLine, Card, Condition, Limits, Rule, RuleBook, Test } from "../../generated/types";
import { factors, parameters } from "../../generated/vocabulary";
import { said, tongue } from "../../lang/said";
import { docsOf, type Problem } from "../../state";
import { textUnit } from "../../text-unit";

const words = textUnit.rule;

/** What every face of the rule book gets: the book being written, the one it is compared with, what is wrong. */
export interface FaceProps {
  book: RuleBook;
  base: RuleBook;
  set: (change: Partial<RuleBook>) => void;
  problems: readonly Problem[];
}

export interface Named {
  value: string;
  label: string;
  group?: string;
}

/** The facts a condition asks for, each once, in the order they stand. */
export function factorsOf(c: Condition): string[] {
  const inside = [...(c.all ?? []), ...(c.any ?? []), ...(c.not ? [c.not] : [])].flatMap(factorsOf);
  return [...new Set([...(c.test?.factor ? [c.test.factor] : []), ...inside])];
}

function settingsOf(c: Condition): string[] {
  const inside = [...(c.all ?? []), ...(c.any ?? []), ...(c.not ? [c.not] : [])].flatMap(settingsOf);
  return [...(c.test?.setting ? [c.test.setting] : []), ...inside];
}

/** The rules that compare with a setting, or show it. */
export function usersOf(book: RuleBook, setting: string): Rule[] {
  return book.rules.filter((r) => settingsOf(r.when).includes(setting) || (r.do ?? []).some((a) => a.line?.value === setting));
}

export function factorLabel(id: string): string {
  return factors.find((f) => f.id === id)?.label ?? id;
}

/** The condition as a person would say it. */
export function conditionText(c: Condition, book: RuleBook): string {
  if (c.test) return testText(c.test, book);
  if (c.not) return `${words.not} (${conditionText(c.not, book)})`;
  if (c.technique) return `${textUnit.rules.technique}: ${c.technique.map(said).join(", ")}`;
  if (c.all) return joined(c.all, words.and, book);
  if (c.any) return joined(c.any, words.or, book);
  return textUnit.rules.always;
}

function joined(parts: readonly Condition[], word: string, book: RuleBook): string {
  return parts.map((p) => (p.all || p.any ? `(${conditionText(p, book)})` : conditionText(p, book))).join(` ${word} `);
}

function testText(t: Test, book: RuleBook): string {
  const f = factors.find((x) => x.id === t.factor);
  if (!f) return words.chooseFactor;
  if (t.setting) {
    const s = book.settings?.find((x) => x.id === t.setting);
    return `${said(f.label)} ${said(t.op)} ${s ? `${s.value}${f.unit ? `\u00a0${f.unit}` : ""} (${words.withSetting})` : t.setting}`;
  }
  return [said(f.label), said(t.op), `${said(t.value ?? "")}${f.unit ? `\u00a0${f.unit}` : ""}`].join(" ");
}

/** What an action does, in one line. */
export function actionText(a: Action): string {
  switch (a.do) {
    case "add item": return `${words.kinds[a.do]}: ${a.item ? `${a.item.quantity} × ${said(a.item.name)}, ${said(a.item.state)}` : ""}`;
    case "add line":
    case "add question": return `${said(a.pause ?? "")}: ${said(a.line?.text ?? "")}`;
    case "add caution": return `${said(a.weight ?? "")}: ${said(a.text ?? "")}`;
    case "raise": return `${words.kinds[a.do]}: ${said(keyWords(a.trigger ?? ""))}`;
    case "withhold":
    case "do not": return `${words.kinds[a.do]}: ${[...(a.items ?? []).map(keyWords), ...(a.steps ?? []), ...(a.allergens ?? [])].map(said).join(", ")}`;
  }
}

export function keyWords(key: string): string {
  return key.replaceAll("-", " ");
}

/** Items and drugs of every card on this device and of the rules, by what they are called. */
export function knownItems(book: RuleBook): Named[] {
  const found = new Map<string, string>();
  for (const d of docsOf<Card>("card")) for (const x of [...(d.body.items ?? []), ...(d.body.drugs ?? [])]) found.set(x.key, x.name);
  for (const r of book.rules) for (const a of r.do ?? []) for (const x of [a.item, a.substitute]) if (x) found.set(x.key, x.name);
  return byLabel(found);
}

/** Drills of every card on this device and of the unit. */
export function knownDrills(book: RuleBook): Named[] {
  const found = new Map<string, string>();
  for (const d of docsOf<Card>("card")) for (const t of d.body.triggers ?? []) found.set(t.key, t.title);
  for (const t of book.drills ?? []) found.set(t.key, t.title);
  return byLabel(found);
}

function byLabel(found: ReadonlyMap<string, string>): Named[] {
  return [...found].map(([value, label]) => ({ value, label })).sort((a, b) => said(a.label).localeCompare(said(b.label), tongue.value.locale));
}

const shownLimits: readonly (keyof Limits)[] = ["power", "pulse_rate", "duty_cycle", "burst_length", "vacuum", "flow", "bottle", "pressure", "cut_rate"];

/** What a line may show after the answer: a fact of the case, a setting of the unit, or a limit of the first phase. */
export function storedValues(book: RuleBook): Named[] {
  return [
    ...factors.map((f) => ({ value: f.id, label: f.label, group: f.group })),
    ...(book.settings ?? []).map((s) => ({ value: s.id, label: s.label, group: textUnit.rules.faces.settings })),
    ...parameters.filter((p) => (shownLimits as readonly string[]).includes(p.id)).map((p) => ({ value: p.id, label: p.label, group: textUnit.rules.firstPhase })),
  ];
}

export const emptyTest: Test = { factor: "", op: "is", value: "" };
export const emptyLine: ActionLine = { text: "", ask: "reader", answer: "surgeon" };

/** An action of the kind with nothing said yet. */
export function blankAction(kind: Action["do"]): Action {
  switch (kind) {
    case "add line":
    case "add question": return { do: kind, pause: "team brief", line: emptyLine };
    case "add caution": return { do: kind, text: "", weight: "caution" };
    case "add item": return { do: kind };
    default: return { do: kind };
  }
}

