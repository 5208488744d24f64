import type { Allergen, Drug, Measure, Unit } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { Caution, NumberField, TextField } from "../../parts";
import { textCase } from "../../text-case";
import { useBigAt } from "./big";
import { errorAt } from "./check";
import { asOptions, LongText, Many, Pick, withField } from "./fields";
import { ListEditor } from "./list";
import type { PartProps } from "./parts";
import { QuantityField } from "./quantity";

const words = textCase.edit;

export function DrugsPart({ card, base, set, problems }: PartProps) {
  return (
    <>
      <p class="quiet">{words.drugLead}</p>
      <ListEditor<Drug> list={card.drugs ?? []} onChange={(drugs) => set({ drugs })} keyOf={(d) => d.key} title={(d) => d.name} summary={inShort}
        blank={(name, key) => ({ key, name, route: "on the eye", state: "have ready" })} addLabel={words.drugAdd} nameLabel={words.drugName} path="drugs" problems={problems}>
        {(d, put, at) => {
          const old = base?.drugs?.find((x) => x.key === d.key);
          return (
            <>
              <TextField label={words.drugName} value={d.name} onChange={(name) => put({ ...d, name })} problem={errorAt(problems, `${at}/name`)} />
              <MeasureField label={words.strength} unitLabel={words.strengthUnit} units={choices.strength} value={d.strength} was={old?.strength} path={`${at}/strength`}
                problem={errorAt(problems, `${at}/strength`)} onChange={(m) => put(withField(d, "strength", m))} />
              <MeasureField label={words.dose} unitLabel={words.doseUnit} units={choices.dose} value={d.dose} was={old?.dose} path={`${at}/dose`}
                problem={errorAt(problems, `${at}/dose`)} onChange={(m) => put(withField(d, "dose", m))} />
              <QuantityField id="volume" value={d.volume} was={old?.volume} path={`${at}/volume`} problems={problems} onChange={(v) => put(withField(d, "volume", v))} />
              <Pick needed label={words.route} options={choices.route} value={d.route} onChange={(v) => put({ ...d, route: v ?? d.route })} />
              <Pick needed label={words.state} options={choices.state} value={d.state} onChange={(v) => put({ ...d, state: v ?? d.state })} />
              <LongText label={words.prepared} value={d.prepared ?? ""} onChange={(v) => put(withField(d, "prepared", v))} problem={errorAt(problems, `${at}/prepared`)} />
              <LongText label={words.itemNote} value={d.note ?? ""} onChange={(v) => put(withField(d, "note", v))} problem={errorAt(problems, `${at}/note`)} />
              <Many label={words.drugAllergens} options={asOptions(choices.allergen)} value={d.allergens} onChange={(v) => put(withField(d, "allergens", v as Allergen[] | undefined))} />
            </>
          );
        }}
      </ListEditor>
    </>
  );
}

const measureText = (m: Measure | undefined) => (m?.value ? `${m.value}\u00a0${m.unit ?? ""}`.trim() : "");

function inShort(d: Drug): string {
  return [measureText(d.strength), measureText(d.dose), d.volume && `${d.volume}\u00a0mL`, d.route].filter(Boolean).join(", ");
}

interface MeasureProps {
  label: string;
  unitLabel: string;
  units: readonly Unit[];
  value: Measure | undefined;
  was: Measure | undefined;
  path: string;
  problem: string | null;
  onChange: (m: Measure | undefined) => void;
}

/** A number and its unit, which belong together: strengths and doses come in several. */
function MeasureField({ label, unitLabel, units, value, was, path, problem, onChange }: MeasureProps) {
  const put = (m: Measure) => onChange(m.value || m.unit ? m : undefined);
  const big = useBigAt(path);
  return (
    <>
      <NumberField label={label} value={value?.value ?? ""} unit={value?.unit} problem={problem} was={was ? was.value ?? "" : undefined}
        onChange={(v) => put(withField(value ?? {}, "value", v))} />
      <Pick label={unitLabel} options={units} value={value?.unit} onChange={(u) => put(withField(value ?? {}, "unit", u))} />
      {big && <Caution>{words.twice(big.from, big.to, big.factor)}</Caution>}
    </>
  );
}
