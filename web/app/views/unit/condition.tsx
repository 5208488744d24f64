import type { Condition, RuleBook, Technique, Test } from "../../generated/types";
import { choices, factors, ops, words as answers } from "../../generated/vocabulary";
import { Button, Choice, NumberField } from "../../parts";
import type { Problem } from "../../state";
import { textUnit } from "../../text-unit";
import { errorAt } from "../edit/check";
import { asOptions, Many, Select } from "../edit/fields";
import { emptyTest } from "./book";

const words = textUnit.rule;

type Shape = keyof typeof words.shapes;

interface ConditionProps {
  of: Condition;
  onChange: (c: Condition) => void;
  book: RuleBook;
  problems: readonly Problem[];
  path: string;
  /** A part of a larger condition: "in every case" is no choice there. */
  inside?: boolean;
}

/** A condition, put together by choosing. No formula is typed. */
export function ConditionFields(p: ConditionProps) {
  const { of, onChange, book, problems, path, inside } = p;
  const shape = shapeOf(of);
  const shapes = (Object.keys(words.shapes) as Shape[]).filter((s) => !inside || s !== "always");
  const wrong = problems.find((x) => x.level === "error" && x.path === path)?.text ?? null;
  return (
    <div class="condition">
      <Choice legend={inside ? words.shape : words.when} options={shapes.map((value) => ({ value, label: words.shapes[value] }))} value={shape}
        problem={wrong} onChange={(s) => onChange(reshaped(of, s as Shape))} />
      {of.test && <TestFields test={of.test} book={book} onChange={(test) => onChange({ test })} problem={errorAt(problems, `${path}/test`)} />}
      {of.all && <Parts {...p} list={of.all} word={words.and} name="all" onParts={(all) => onChange({ all })} />}
      {of.any && <Parts {...p} list={of.any} word={words.or} name="any" onParts={(any) => onChange({ any })} />}
      {of.not && <div class="panel condition-part"><ConditionFields {...p} inside of={of.not} path={`${path}/not`} onChange={(not) => onChange({ not })} /></div>}
      {of.technique && <Many label={words.techniques} options={asOptions(choices.technique)} value={of.technique} problem={errorAt(problems, `${path}/technique`)}
        onChange={(t) => onChange({ technique: (t ?? []) as Technique[] })} />}
    </div>
  );
}

function shapeOf(c: Condition): Shape {
  if (c.all) return "all";
  if (c.any) return "any";
  if (c.not) return "not";
  if (c.test) return "test";
  return c.technique ? "technique" : "always";
}

/** The condition in another shape, with as much of what was chosen as fits. */
function reshaped(c: Condition, to: Shape): Condition {
  const parts = c.all ?? c.any ?? (c.not ? [c.not] : shapeOf(c) === "always" ? [{ test: emptyTest }] : [c]);
  switch (to) {
    case "always": return {};
    case "all": return { all: parts };
    case "any": return { any: parts };
    case "not": return { not: parts.length === 1 && parts[0] ? parts[0] : c };
    case "test": return { test: parts.find((p) => p.test)?.test ?? emptyTest };
    case "technique": return { technique: parts.find((p) => p.technique)?.technique ?? [] };
  }
}

interface PartsProps extends ConditionProps {
  list: readonly Condition[];
  word: string;
  name: string;
  onParts: (list: Condition[]) => void;
}

function Parts({ list, word, name, onParts, ...p }: PartsProps) {
  return (
    <div class="condition-parts">
      {list.map((c, i) => (
        <div key={i} class="panel condition-part">
          {i > 0 && <p class="condition-word">{word}</p>}
          <ConditionFields {...p} inside of={c} path={`${p.path}/${name}/${i + 1}`} onChange={(next) => onParts(list.map((x, n) => (n === i ? next : x)))} />
          {list.length > 1 && <div><Button kind="quiet" icon="cross" onClick={() => onParts(list.filter((_, n) => n !== i))}>{words.removePart}</Button></div>}
        </div>
      ))}
      <div><Button icon="plus" onClick={() => onParts([...list, { test: emptyTest }])}>{words.addPart}</Button></div>
    </div>
  );
}

interface TestProps {
  test: Test;
  book: RuleBook;
  onChange: (t: Test) => void;
  problem: string | null;
}

/** One fact compared with one value, or with a setting of the unit where it is a number. */
function TestFields({ test, book, onChange, problem }: TestProps) {
  const f = factors.find((x) => x.id === test.factor);
  const settings = f?.kind === "number" ? (book.settings ?? []).filter((s) => (s.unit ?? "") === (f.unit ?? "")) : [];
  const choose = (id: string) => {
    const next = factors.find((x) => x.id === id);
    onChange(next ? { factor: id, op: ops[next.kind][0] ?? "is", value: next.kind === "text" ? answers.none : "" } : emptyTest);
  };
  const { setting: _setting, ...plain } = test;
  const { value: _value, ...bare } = test;
  return (
    <div class="condition-test">
      <Select label={words.factor} value={test.factor} none={words.chooseFactor} onChange={choose} options={factors.map((x) => ({ value: x.id, label: x.label, group: x.group }))}
        problem={f ? null : problem} />
      {f && ops[f.kind].length > 1 && <Choice legend={words.op} options={ops[f.kind]} value={test.op} onChange={(op) => onChange({ ...test, op: op as Test["op"] })} />}
      {settings.length > 0 && (
        <Choice legend={words.compareWith} value={test.setting === undefined ? "value" : "setting"}
          options={[{ value: "value", label: words.withValue }, { value: "setting", label: words.withSetting }]}
          onChange={(v) => onChange(v === "value" ? { ...plain, value: book.settings?.find((s) => s.id === test.setting)?.value ?? "" } : { ...bare, setting: settings[0]?.id ?? "" })} />
      )}
      {test.setting !== undefined && (
        <Select label={words.setting} value={test.setting} none={words.chooseSetting} problem={problem}
          options={settings.map((s) => ({ value: s.id, label: words.settingNow(s.label, s.value, s.unit) }))} onChange={(setting) => onChange({ ...bare, setting })} />
      )}
      {f?.kind === "number" && test.setting === undefined && (
        <NumberField label={words.value} unit={f.unit} min={f.min} max={f.max} value={test.value ?? ""} problem={problem} onChange={(value) => onChange({ ...test, value })} />
      )}
      {(f?.kind === "choice" || f?.kind === "set") && (
        <Choice legend={words.value} options={f.options ?? []} value={test.value || null} problem={problem} onChange={(value) => onChange({ ...test, value })} />
      )}
      {f?.kind === "text" && <p class="quiet">{f.label} {test.op} {test.value}</p>}
    </div>
  );
}
