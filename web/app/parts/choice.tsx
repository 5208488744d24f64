import { useId } from "preact/hooks";
import "./choice.css";
import { Icon } from "./icon";

export interface Option {
  value: string;
  label: string;
  hint?: string | undefined;
}

interface ChoiceProps {
  legend: string;
  /** Plain texts are value and label in one. */
  options: readonly (Option | string)[];
  /** null or "" when nothing was chosen. */
  value: string | null;
  onChange: (value: string) => void;
  /** The value that means "not known"; it stands last and looks different. */
  notKnown?: string | undefined;
  hint?: string | undefined;
  problem?: string | null | undefined;
  /** Theatre size. */
  big?: boolean;
  /** Answers of the same width in columns, for many answers or long ones. */
  even?: boolean;
}

function asOption(o: Option | string): Option {
  return typeof o === "string" ? { value: o, label: o } : o;
}

/** The option with the value, with its own label where it was given one. */
function named(options: readonly Option[], value: string): Option {
  return options.find((o) => o.value === value) ?? asOption(value);
}

/** One of a few big answers. */
export function Choice(p: ChoiceProps) {
  const name = useId();
  const all = p.options.map(asOption);
  const options = all.filter((o) => o.value !== p.notKnown);
  const answer = (o: Option, notKnown: boolean) => (
    <label key={o.value} class={notKnown ? "choice-option choice-notknown" : "choice-option"}>
      <input type="radio" name={name} value={o.value} checked={p.value === o.value} onChange={() => p.onChange(o.value)} />
      <Face option={o} notKnown={notKnown} />
    </label>
  );
  return (
    <Group {...p} id={name}>
      {options.map((o) => answer(o, false))}
      {p.notKnown !== undefined && answer(named(all, p.notKnown), true)}
    </Group>
  );
}

interface MultiChoiceProps extends Omit<ChoiceProps, "value" | "onChange"> {
  /** [] when nobody answered; [none] or [notKnown] alone when that was the answer. */
  value: readonly string[];
  onChange: (value: string[]) => void;
  /** The value that means "asked, and there is none". */
  none?: string | undefined;
}

/** Any of several answers; "none" and "not known" each stand alone. */
export function MultiChoice(p: MultiChoiceProps) {
  const name = useId();
  const alone = [p.none, p.notKnown];
  const all = p.options.map(asOption);
  const options = all.filter((o) => !alone.includes(o.value));
  const toggle = (value: string) => {
    if (p.value.includes(value)) return p.onChange(p.value.filter((v) => v !== value));
    if (alone.includes(value)) return p.onChange([value]);
    const chosen = options.map((o) => o.value).filter((v) => v === value || p.value.includes(v));
    p.onChange(chosen);
  };
  const answer = (o: Option, notKnown: boolean) => (
    <label key={o.value} class={notKnown ? "choice-option choice-notknown" : "choice-option"}>
      <input type="checkbox" name={name} value={o.value} checked={p.value.includes(o.value)} onChange={() => toggle(o.value)} />
      <Face option={o} notKnown={notKnown} />
    </label>
  );
  return (
    <Group {...p} id={name}>
      {p.none !== undefined && answer(named(all, p.none), false)}
      {options.map((o) => answer(o, false))}
      {p.notKnown !== undefined && answer(named(all, p.notKnown), true)}
    </Group>
  );
}

function Face({ option, notKnown }: { option: Option; notKnown: boolean }) {
  return (
    <span class="choice-face">
      <span class="choice-mark" aria-hidden="true"><Icon name={notKnown ? "question" : "tick"} /></span>
      <span>
        {option.label}
        {option.hint && <span class="choice-hint">{option.hint}</span>}
      </span>
    </span>
  );
}

type GroupProps = Pick<ChoiceProps, "legend" | "hint" | "problem" | "big" | "even"> & { id: string; children: unknown };

function Group({ legend, hint, problem, big, even, id, children }: GroupProps) {
  const row = ["choice-row", big && "choice-big", even && "choice-even"].filter(Boolean).join(" ");
  return (
    <fieldset class="choice" aria-describedby={hint ? id + "-hint" : undefined}>
      <legend class="choice-legend">{legend}</legend>
      {hint && <p class="choice-hint" id={id + "-hint"}>{hint}</p>}
      <div class={row}>{children as never}</div>
      <p class="field-problem" aria-live="polite">{problem && <><Icon name="stop" /> {problem}</>}</p>
    </fieldset>
  );
}
