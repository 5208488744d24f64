import { Fragment } from "preact";
import { said } from "../lang/said";
import { text } from "../text";
import "./limits.css";

/** A label with its value and unit, as the core makes it. */
export interface ShownValue {
  id: string;
  label: string;
  value: string;
  unit?: string;
  extra?: string;
}

/** A value and its unit, never parted by a line break. */
export function Value({ value, unit, extra }: Pick<ShownValue, "value" | "unit" | "extra">) {
  return (
    <>
      <span class="value">
        <strong class="value-number">{value}</strong>{unit && <span class="value-unit">{"\u00a0" + unit}</span>}
      </span>
      {extra && <span class="value-extra"> {extra}</span>}
    </>
  );
}

interface LimitsProps {
  values: readonly ShownValue[];
  /** The values of the card where a variant or a change replaced them. */
  was?: readonly ShownValue[];
  /** To be read from the machine, not from the hand. */
  large?: boolean;
  /** Makes every number a target of its own. */
  pick?: Picking | undefined;
}

export interface Picking {
  onPick: (id: string) => void;
  /** What a value was before it was changed here. */
  before: (of: ShownValue) => string | undefined;
}

interface LimitButtonProps {
  of: ShownValue;
  /** With its label in sight, where none stands beside it. */
  named?: boolean;
  before: string | undefined;
  onPick: () => void;
}

/** Each part in the language of the device, since no catalogue has them joined. */
function heardValue({ label, value, unit, extra }: ShownValue, was: string | false): string {
  return [label, value, unit, extra].map((part) => part && said(part)).concat(was || []).filter(Boolean).join(" ");
}

/** A number that is changed where it stands. */
export function LimitButton({ of: v, named, before, onPick }: LimitButtonProps) {
  const was = before !== undefined && before !== v.value && text.was(before, v.unit);
  return (
    <button type="button" class="limits-pick" aria-label={named ? undefined : text.changeValue(heardValue(v, was))} onClick={onPick}>
      {named && <span class="limits-name">{v.label} </span>}
      <span><Value value={v.value} unit={v.unit} extra={named ? undefined : v.extra} /></span>
      {was && <span class="limits-was"> {was}</span>}
    </button>
  );
}

/** Labels on the left, values in a column on the right, so that the eye runs down the numbers. */
export function Limits({ values, was, large, pick }: LimitsProps) {
  if (values.length === 0) return <p class="quiet">{text.nothingStated}</p>;
  return (
    <dl class={large ? "limits limits-large" : "limits"}>
      {values.map((v) => {
        const old = was?.find((w) => w.id === v.id);
        const changed = was && (!old || old.value !== v.value || old.unit !== v.unit);
        return (
          <Fragment key={v.id}>
            <dt>{v.label}</dt>
            <dd>
              {pick && v.unit
                ? <LimitButton of={v} before={pick.before(v)} onPick={() => pick.onPick(v.id)} />
                : <Value value={v.value} unit={v.unit} extra={v.extra} />}
              {changed && <span class="limits-was">{old ? text.cardSays(old.value, old.unit) : text.cardSaysNothing}</span>}
            </dd>
          </Fragment>
        );
      })}
    </dl>
  );
}

export interface Side {
  text: string;
  by: string;
}

/** Two people changed one thing differently and nobody has decided: both values, neither in front. */
export function TwoValues({ label, sides }: { label: string; sides: readonly Side[] }) {
  return (
    <div class="twovalues" role="group" aria-label={text.twoValues(label)}>
      {sides.map((s) => (
        <div key={s.by + s.text} class="twovalues-side">
          <p class="twovalues-by">{s.by}</p>
          <p class="twovalues-text">{s.text}</p>
        </div>
      ))}
    </div>
  );
}
