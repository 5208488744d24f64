import type { PhaseKind } from "../../generated/types";
import { parameters } from "../../generated/vocabulary";
import { useRef } from "preact/hooks";
import { Button, Caution, NumberField, Stepper } from "../../parts";
import type { Problem } from "../../state";
import { textCase } from "../../text-case";
import { useBigAt } from "./big";
import { cautionsAt, errorAt } from "./check";

const words = textCase.edit;

interface QuantityProps {
  /** The parameter of the vocabulary: its label, unit, step and bounds. */
  id: string;
  value: string | undefined;
  was?: string | undefined;
  kind?: PhaseKind | undefined;
  path: string;
  problems: readonly Problem[];
  onChange: (value: string | undefined) => void;
}

/** One number of the card, with its bounds, its usual range, the old value and what is unusual about it. */
export function QuantityField({ id, value, was, kind, path, problems, onChange }: QuantityProps) {
  const p = parameters.find((x) => x.id === id);
  if (!p) throw new Error(`${id} is not in the vocabulary`);
  const usual = p.usual?.find((r) => !r.phase || r.phase === kind);
  // A number that nobody has stated is typed: a first press on "plus" would bring one that nobody chose.
  const typed = useRef(value === undefined && was === undefined).current;
  const big = useBigAt(path);
  const unit = p.unit ? `\u00a0${p.unit}` : "";
  const field = {
    label: p.label, unit: p.unit, value: value ?? "", min: p.min, max: p.max, problem: errorAt(problems, path),
    hint: usual && words.usual(usual.min, usual.max, unit, usual.source),
    was: was ?? (value === undefined ? undefined : ""),
    onChange: (v: string) => onChange(v === "" ? undefined : v),
  };
  return (
    <div class="quantity" data-limit={id}>
      {typed ? <NumberField {...field} /> : <Stepper {...field} step={p.step} start={was ?? p.min} />}
      {big && was !== undefined && (
        <Caution>
          {words.twice(big.from, big.to, big.factor)}{" "}
          <Button kind="quiet" icon="undo" onClick={() => onChange(was)}>{words.takeBack(was + unit)}</Button>
        </Caution>
      )}
      {cautionsAt(problems, path).map((c) => <Caution key={c.text}>{c.text}{c.source && ` ${textCase.source(c.source)}`}</Caution>)}
    </div>
  );
}
