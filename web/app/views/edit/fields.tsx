import { useId } from "preact/hooks";
import { Choice, MultiChoice, TextArea } from "../../parts";
import { textCase } from "../../text-case";

export { withField } from "./withfield";

const words = textCase.edit;

interface PickProps<T extends string> {
  label: string;
  options: readonly T[];
  value: T | undefined;
  onChange: (value: T | undefined) => void;
  problem?: string | null;
  /** Must be chosen: there is no "not stated". */
  needed?: boolean;
}

/** One of the closed choices of a card, or "not stated". */
export function Pick<T extends string>({ label, options, value, onChange, problem, needed }: PickProps<T>) {
  const rest = needed ? {} : { notKnown: "" };
  return (
    <Choice legend={label} value={value ?? (needed ? null : "")} problem={problem} {...rest}
      options={needed ? options : [...options, { value: "", label: words.notStated }]} onChange={(v) => onChange(v === "" ? undefined : (v as T))} />
  );
}

interface ManyProps {
  label: string;
  options: readonly { value: string; label: string }[];
  value: readonly string[] | undefined;
  onChange: (value: string[] | undefined) => void;
  hint?: string;
  problem?: string | null;
}

/** Any of several; nothing chosen leaves the field out. */
export function Many({ label, options, value, onChange, hint, problem }: ManyProps) {
  return (
    <MultiChoice legend={label} options={options} value={value ?? []} hint={hint} problem={problem}
      onChange={(v) => onChange(v.length > 0 ? v : undefined)} />
  );
}

export const asOptions = (values: readonly string[]) => values.map((v) => ({ value: v, label: v }));

interface LongTextProps {
  label: string;
  value: string;
  onChange: (value: string) => void;
  problem?: string | null;
  /** A source: days and numbers of publications are expected in it. */
  source?: boolean;
}

/** One line of the card that may be long: it wraps while it is written, and a line break becomes a space. */
export function LongText({ onChange, source, ...rest }: LongTextProps) {
  return <TextArea rows={2} free={!source} {...rest} onChange={(v) => onChange(v.replace(/\s*\n\s*/g, " "))} />;
}

interface SelectProps {
  label: string;
  value: string;
  options: readonly { value: string; label: string; group?: string }[];
  onChange: (value: string) => void;
  /** What stands there while nothing is chosen. */
  none: string;
  problem?: string | null;
}

/** One of many, where buttons would fill the screen. */
export function Select({ label, value, options, onChange, none, problem }: SelectProps) {
  const id = useId();
  const groups = [...new Set(options.map((o) => o.group ?? ""))];
  return (
    <div class={problem ? "field field-wrong" : "field"}>
      <label class="field-label" for={id}>{label}</label>
      <select id={id} class="field-input" value={value} onChange={(e) => onChange(e.currentTarget.value)}>
        <option value="">{none}</option>
        {groups.map((g) => {
          const inside = options.filter((o) => (o.group ?? "") === g).map((o) => <option key={o.value} value={o.value}>{o.label}</option>);
          return g === "" ? inside : <optgroup key={g} label={g}>{inside}</optgroup>;
        })}
      </select>
      <p class="field-problem" aria-live="polite">{problem}</p>
    </div>
  );
}
