import type { Factor } from "../../generated/types";
import { words as answers } from "../../generated/vocabulary";
import { Button, Caution, Choice, fromMillionths, Icon, MultiChoice, NumberField, Stepper, Tag, TextField, toMillionths } from "../../parts";
import type { Problem } from "../../state";
import { textCase } from "../../text-case";

const words = textCase.case;

interface FactorProps {
  factor: Factor;
  /** [] when nobody answered, which is shown, counted and asked for; it is never read as no. */
  value: readonly string[];
  onChange: (value: string[]) => void;
  problem: string | null;
  cautions: readonly Problem[];
}

/** One question about the case. "Not known" is an answer; no answer is none. */
export function FactorField(p: FactorProps) {
  const answered = p.value.length > 0;
  return (
    <div class={answered ? "factor" : "factor factor-open"}>
      <div class="factor-state">
        {answered
          ? <Button kind="quiet" icon="undo" label={`${words.takeBack}: ${p.factor.label}`} onClick={() => p.onChange([])} />
          : <Tag>{words.notAnswered}</Tag>}
      </div>
      <Answer {...p} />
      {p.cautions.map((c) => <Caution key={c.text}>{c.text}{c.source && ` ${textCase.source(c.source)}`}</Caution>)}
    </div>
  );
}

function Answer(p: FactorProps) {
  const { factor: f, value, onChange, problem } = p;
  const one = value[0] ?? null;
  switch (f.kind) {
    case "choice":
      return <Choice legend={f.label} hint={f.hint} options={f.options ?? []} notKnown={answers.notKnown} value={one} problem={problem} onChange={(v) => onChange([v])} />;
    case "set":
      return <MultiChoice legend={f.label} hint={f.hint} options={f.options ?? []} none={answers.none} notKnown={answers.notKnown} value={value} problem={problem} onChange={onChange} />;
    case "number":
      return <NumberAnswer {...p} />;
    case "text":
      return <TextAnswer {...p} />;
  }
}

/** More steps than this are no stepping any more: the number is typed. */
const mostSteps = 200;

function NumberAnswer({ factor: f, value, onChange, problem }: FactorProps) {
  const notKnown = value[0] === answers.notKnown;
  const { min = "", max = "", step = "1" } = f;
  const size = (toMillionths(max) - toMillionths(min)) / toMillionths(step);
  const field = {
    label: f.label, unit: f.unit, min, max, hint: f.hint, problem,
    value: notKnown ? "" : value[0] ?? "",
    onChange: (v: string) => onChange(v === "" ? [] : [v]),
  };
  return (
    <div class="factor-number">
      {size > mostSteps ? <NumberField {...field} /> : <Stepper {...field} step={step} start={middle(min, max, step)} />}
      <NotKnown on={notKnown} onChange={(on) => onChange(on ? [answers.notKnown] : [])} label={f.label} />
    </div>
  );
}

/** Where the first press on a step starts: the middle of the bounds, so that neither end is far. */
function middle(min: string, max: string, step: string): string {
  const by = toMillionths(step);
  return fromMillionths(Math.round((toMillionths(min) + toMillionths(max)) / 2 / by) * by);
}

function TextAnswer({ factor: f, value, onChange, problem }: FactorProps) {
  const alone = value[0] === answers.none || value[0] === answers.notKnown;
  return (
    <div class="factor-number">
      <TextField label={f.label} maxLength={200} value={alone ? "" : value[0] ?? ""} problem={problem} {...(f.hint && { hint: f.hint })}
        onChange={(v) => onChange(v === "" ? [] : [v])} />
      <div class="row">
        <Button pressed={value[0] === answers.none} {...(value[0] === answers.none && { icon: "tick" as const })}
          onClick={() => onChange(value[0] === answers.none ? [] : [answers.none])}>{answers.none}</Button>
        <NotKnown on={value[0] === answers.notKnown} onChange={(on) => onChange(on ? [answers.notKnown] : [])} label={f.label} />
      </div>
    </div>
  );
}

function NotKnown({ on, onChange, label }: { on: boolean; onChange: (on: boolean) => void; label: string }) {
  return (
    <label class="choice-option choice-notknown factor-notknown">
      <input type="checkbox" checked={on} aria-label={`${label}: ${answers.notKnown}`} onChange={() => onChange(!on)} />
      <span class="choice-face">
        <span class="choice-mark" aria-hidden="true"><Icon name="question" /></span>
        <span>{answers.notKnown}</span>
      </span>
    </label>
  );
}
