import { useEffect, useId, useRef, useState } from "preact/hooks";
import { tongue } from "../lang/said";
import { text } from "../text";
import { isNumber, mayBecomeNumber, partsThousands, stepFrom, withMark, within, withPoint, type DecimalMark } from "./decimal";
import { described, FieldFrame } from "./field";
import { Icon } from "./icon";

export interface NumberProps {
  label: string;
  /** A decimal text such as "0.5"; "" when not stated. */
  value: string;
  /** Called with complete numbers and with "" only. */
  onChange: (value: string) => void;
  unit?: string | undefined;
  min?: string | undefined;
  max?: string | undefined;
  hint?: string | undefined;
  problem?: string | null | undefined;
  /** The value before the change, shown beside the new one. */
  was?: string | undefined;
}

interface StepperProps extends NumberProps {
  step: string;
  min: string;
  max: string;
  /** Where the first press starts when nothing is stated; the smallest value otherwise. */
  start?: string | undefined;
}

/** A number typed by hand. Keys that cannot belong to a number are refused as they are pressed. */
export function NumberField(p: NumberProps) {
  const id = useId();
  const { box, complaint } = useNumberBox(p, id);
  return (
    <FieldFrame id={id} label={p.label} hint={bounds(p)} problem={p.problem ?? complaint} steady>
      <div class="number">{box}</div>
      <Was {...p} />
    </FieldFrame>
  );
}

/** A number changed by a step at a time, or typed. */
export function Stepper(p: StepperProps) {
  const id = useId();
  const { box, complaint, put } = useNumberBox(p, id);
  const press = (direction: 1 | -1) =>
    put(p.value === "" ? p.start ?? p.min : stepFrom(p.value, direction, p.step, p.min, p.max));
  const button = (direction: 1 | -1, end: string) => (
    <button type="button" class="number-step" disabled={p.value === end} onClick={() => press(direction)}
      aria-label={direction > 0 ? text.stepUp(p.label, p.step, p.unit) : text.stepDown(p.label, p.step, p.unit)}>
      <Icon name={direction > 0 ? "plus" : "minus"} />
    </button>
  );
  return (
    <FieldFrame id={id} label={p.label} hint={bounds(p)} problem={p.problem ?? complaint} steady>
      <div class="number">
        {button(-1, p.min)}
        {box}
        {button(1, p.max)}
      </div>
      <Was {...p} />
    </FieldFrame>
  );
}

function bounds(p: NumberProps): string | undefined {
  const range = p.min && p.max ? text.bounds(p.min, p.max, p.unit) : undefined;
  return [range, p.hint].filter(Boolean).join(" ") || undefined;
}

function Was({ was, value, unit }: NumberProps) {
  if (was === undefined || was === value) return null;
  return <p class="field-was">{was === "" ? text.wasNotStated : text.was(was, unit)}</p>;
}

/**
 * The typed part of a number field. It keeps what is in the field apart from the value, because "0." is on the way to
 * a number and is none yet. Refusing a key outright is what halves out-by-ten slips (Thimbleby and Cairns 2010).
 */
function useNumberBox(p: NumberProps, id: string) {
  const [typed, setTyped] = useState(p.value);
  const [refused, setRefused] = useState<Refused>(null);
  const pointed = useRef(false); // the mark in the field was typed as a point
  const input = useRef<HTMLInputElement>(null);
  const negative = p.min?.startsWith("-") ?? false;
  const mark = tongue.value.decimal;
  useEffect(() => {
    if (document.activeElement !== input.current) setTyped(p.value);
  }, [p.value]);

  const put = (value: string) => {
    setTyped(value);
    setRefused(null);
    p.onChange(value);
  };
  const typing = (el: HTMLInputElement) => {
    const value = withPoint(el.value, mark);
    pointed.current = value.includes(".") && (pointed.current || el.value.includes("."));
    const why = pointed.current && partsThousands(value, mark) ? "thousands" : mayBecomeNumber(value, negative) ? null : "key";
    setRefused(why);
    if (why) {
      el.value = withMark(typed, mark); // keyboards that do not announce a key before it lands
      if (why === "thousands" && typed !== "" && value.startsWith(typed)) p.onChange(""); // what was typed so far is not what is meant
      return;
    }
    setTyped(value);
    if (value === "" || isNumber(value)) p.onChange(value);
    else if (value === "-") p.onChange("");
  };
  const before = (e: InputEvent & { currentTarget: HTMLInputElement }) => {
    const el = e.currentTarget;
    if (e.data === null || el.selectionStart === null || el.selectionEnd === null) return;
    const next = el.value.slice(0, el.selectionStart) + e.data + el.value.slice(el.selectionEnd);
    const fits = mayBecomeNumber(withPoint(next, mark), negative);
    if (fits && e.data === mark) pointed.current = false;
    if (fits && e.data !== otherMark(mark)) return;
    e.preventDefault();
    if (!fits) return setRefused("key");
    pointed.current = true;
    el.setRangeText(mark, el.selectionStart, el.selectionEnd, "end");
    typing(el);
  };
  const box = (
    <label class="number-box" for={id}>
      <input ref={input} class="number-input" id={id} type="text" inputMode={negative ? "text" : "decimal"} value={withMark(typed, mark)}
        autocomplete="off" aria-invalid={p.problem ? "true" : undefined} aria-describedby={described(id, bounds(p))}
        onBeforeInput={before as never} onInput={(e) => typing(e.currentTarget)}
        onBlur={() => { setTyped(p.value); setRefused(refused === "thousands" ? refused : null); }} />
      {p.unit && <span class="number-unit">{p.unit}</span>}
    </label>
  );
  return { box, put, complaint: complain(p, refused) };
}

/** The key that stands for the decimal mark on a keyboard of the other kind, where it is taken for it. */
function otherMark(mark: DecimalMark): string | null {
  return mark === "," ? "." : null;
}

type Refused = "key" | "thousands" | null;

function complain(p: NumberProps, refused: Refused): string | null {
  if (refused) return refused === "thousands" ? text.thousandsRefused : text.numberRefused;
  if (isNumber(p.value) && !within(p.value, p.min, p.max)) return text.outside(p.min ?? "", p.max ?? "", p.unit);
  return null;
}
