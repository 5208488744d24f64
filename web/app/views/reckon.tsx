import { useEffect, useState } from "preact/hooks";
import { core } from "../core/core";
import type { Calculation, InputField, Problem, RuleBook, Setting, Working } from "../generated/types";
import { Button, Caution, Choice, dayShort, EmptyState, Icon, Link, NumberField, ProblemList, Screen, Tag, TextField, today } from "../parts";
import { route } from "../router";
import { doc, status } from "../state";
import { textUnit } from "../text-unit";
import "./reckon.css";
import { StrengthField } from "./strengthfield";
import { useCalculations, type Recipe } from "./unit/tables";
import { WorkingView } from "./unit/working";

const words = textUnit.reckon;
const settleMillis = 300;

type Row = Record<string, string>;
type Given = Record<string, string | Row[]>;

/** The list of calculations, or one of them. */
export function Reckon() {
  const known = useCalculations(doc<RuleBook>("rules", "house")?.body.parts);
  const name = route.value.parts[1];
  const one = known?.calculations.find((c) => c.name === name);
  if (!known) return <Screen title={words.title} back={{ href: "/", label: textUnit.backToday }}><p role="status">{status.value.core === "failed" ? textUnit.coreFailed : textUnit.coreWait}</p></Screen>;
  if (name === undefined) return <List calculations={known.calculations} recipes={known.recipes} />;
  if (!one) {
    return (
      <Screen title={words.title} back={{ href: "/reckon", label: words.groups }}>
        <EmptyState title={words.missing} action={<Button href="/reckon">{words.groups}</Button>} />
      </Screen>
    );
  }
  return <One key={name} of={one} />;
}

function List({ calculations, recipes }: { calculations: readonly Calculation[]; recipes: readonly Recipe[] }) {
  return (
    <Screen title={words.title} back={{ href: "/", label: textUnit.backToday }}>
      <p>{words.lead}</p>
      <Caution>{words.caution}</Caution>
      <ul role="list" class="reckon-list">
        {calculations.map((c) => <li key={c.name}><Link href={`/reckon/${encodeURIComponent(c.name)}`} class="panel reckon-row"><span>{c.label}</span><Icon name="forward" /></Link></li>)}
      </ul>
      <Recipes list={recipes} />
    </Screen>
  );
}

/** Recipes stay off until the unit's pharmacist has confirmed them in the house rules. */
function Recipes({ list }: { list: readonly Recipe[] }) {
  return (
    <section class="stack" aria-labelledby="unit-recipes">
      <h2 id="unit-recipes">{words.recipes}</h2>
      <p class="quiet">{words.recipesLead}</p>
      {list.map((r) => {
        const by = r.confirmed;
        if (!by) return <p key={r.id} class="panel row-apart"><span>{r.title}</span> <Tag>{words.recipeOff}</Tag></p>;
        return (
          <details key={r.id} class="panel unit-recipe">
            <summary><strong>{r.title}</strong> <Tag kind="ok">{textUnit.parts.confirmed(by.by, dayShort(by.date))}</Tag></summary>
            <div class="stack">
              {r.note && <Caution>{r.note}</Caution>}
              <WorkingView of={r.working} label={r.title} />
              <Caution>{words.caution}</Caution>
            </div>
          </details>
        );
      })}
      <div><Button href="/rules/parts">{words.recipesConfirm}</Button></div>
    </section>
  );
}

function One({ of }: { of: Calculation }) {
  const settings = doc<RuleBook>("rules", "house")?.body.settings ?? [];
  const [written, setGiven] = useState<Given>({});
  const given = { ...start(of, settings), ...written }; // the settings may come after the screen
  const answer = useReckoned(of, given);
  return (
    <Screen title={of.label} back={{ href: "/reckon", label: words.groups }} wide>
      <div class="reckon-columns">
        <form class="stack" onSubmit={(e) => e.preventDefault()} aria-label={of.label}>
          <Fields list={of.fields} given={given} onChange={setGiven} problems={answer?.problems ?? []} path="" />
          <div><Button kind="quiet" icon="undo" onClick={() => setGiven({})}>{words.clear}</Button></div>
        </form>
        <section class="reckon-result" aria-labelledby="reckon-result" aria-live="polite">
          <h2 id="reckon-result">{words.result}</h2>
          {answer === null ? <p class="quiet">{words.fill}</p> : <>
            <ProblemList problems={answer.problems} title={words.mend} />
            <WorkingView of={answer.working} label={of.label} />
          </>}
          <Caution>{words.caution}</Caution>
        </section>
      </div>
    </Screen>
  );
}

/** The day is known, and what the unit has set; everything else is given by hand. */
function start(of: Calculation, settings: readonly Setting[]): Given {
  const known = of.fields.map((f) => {
    if (f.kind === "date" && f.id === "today") return [f.id, today()];
    const set = settings.find((s) => s.id === f.setting && (s.unit ?? "") === (f.unit ?? ""));
    return [f.id, set?.value ?? ""];
  });
  return Object.fromEntries(known.filter(([, value]) => value !== ""));
}

interface FieldsProps {
  list: readonly InputField[];
  given: Given;
  onChange: (next: Given) => void;
  problems: readonly Problem[];
  /** Of the row the fields stand in: "steps/1/". */
  path: string;
}

function Fields({ list, given, onChange, problems, path }: FieldsProps) {
  return (
    <>
      {list.map((f) => (
        <Field key={f.id} of={f} value={given[f.id]} problems={problems} path={path + f.id}
          onChange={(v) => onChange({ ...given, [f.id]: v })} />
      ))}
    </>
  );
}

interface FieldProps {
  of: InputField;
  value: string | Row[] | undefined;
  onChange: (v: string | Row[]) => void;
  problems: readonly Problem[];
  path: string;
}

function Field({ of: f, value, onChange, problems, path }: FieldProps) {
  const one = typeof value === "string" ? value : "";
  const problem = problems.find((p) => p.path === path)?.text ?? null;
  const hint = [f.help, f.optional && words.optional].filter(Boolean).join(" ") || undefined;
  switch (f.kind) {
    case "number":
      return <NumberField label={f.label} unit={f.unit} min={f.min} max={f.max} value={one} onChange={onChange} hint={hint} problem={problem} />;
    case "choice":
      return <Choice legend={f.label} value={one} onChange={onChange} hint={hint} problem={problem} notKnown={f.optional ? "" : undefined}
        options={f.optional ? [...(f.choices ?? []), { value: "", label: words.notGiven }] : f.choices ?? []} />;
    case "date":
      return <TextField label={f.label} type="date" value={one} onChange={onChange} problem={problem} {...(hint && { hint })} />;
    case "rows":
      return <Rows of={f} rows={Array.isArray(value) ? value : []} onChange={onChange} problems={problems} path={path} />;
    case "strength":
      return <StrengthField label={f.label} value={one} onChange={onChange} problem={problem} hint={hint ?? kindHint(f)} />;
    default:
      return <TextField label={f.label} value={one} onChange={onChange} problem={problem} hint={hint ?? kindHint(f)} maxLength={400} />;
  }
}

function kindHint(f: InputField): string {
  if (f.kind === "strength") return words.strengthHint;
  return f.kind === "scan" ? words.scanHint : "";
}

interface RowsProps {
  of: InputField;
  rows: readonly Row[];
  onChange: (rows: Row[]) => void;
  problems: readonly Problem[];
  path: string;
}

function Rows({ of: f, rows, onChange, problems, path }: RowsProps) {
  return (
    <fieldset class="stack">
      <legend class="choice-legend">{f.label}</legend>
      {rows.map((r, i) => (
        <div key={i} class="panel stack" role="group" aria-label={words.row(f.label, i + 1)}>
          <h3>{words.row(f.label, i + 1)}</h3>
          <Fields list={f.fields ?? []} given={r} problems={problems} path={`${path}/${i + 1}/`}
            onChange={(next) => onChange(rows.map((x, n) => (n === i ? (next as Row) : x)))} />
          <div><Button kind="quiet" icon="cross" label={words.removeRow(i + 1)} onClick={() => onChange(rows.filter((_, n) => n !== i))} /></div>
        </div>
      ))}
      <div><Button icon="plus" onClick={() => onChange([...rows, {}])}>{words.addRow}</Button></div>
    </fieldset>
  );
}

interface Answer {
  working: Working;
  problems: Problem[];
}

/** What the core reckons from what was given; null until everything that is needed is there. A result never outlives its input. */
function useReckoned(of: Calculation, given: Given): Answer | null {
  const [answer, setAnswer] = useState<{ of: string; answer: Answer } | null>(null);
  const asked = complete(of.fields, given) ? JSON.stringify({ name: of.name, in: given }) : "";
  useEffect(() => {
    if (asked === "") return;
    let gone = false;
    const timer = setTimeout(() => {
      core.call<Answer>("reckon", JSON.parse(asked)).then((a) => { if (!gone) setAnswer({ of: asked, answer: a }); }, () => undefined); // the shell says when the core is not there
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [asked, of]);
  return answer && answer.of === asked ? answer.answer : null;
}

function complete(fields: readonly InputField[], given: Given): boolean {
  return fields.every((f) => {
    const v = given[f.id];
    if (f.kind === "rows") return Array.isArray(v) && v.length > 0 ? v.every((r) => complete(f.fields ?? [], r)) : Boolean(f.optional);
    return Boolean(f.optional) || (typeof v === "string" && v !== "");
  });
}
