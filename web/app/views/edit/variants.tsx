import type { Card, Fit, PhaseChange, Test, Variant } from "../../generated/types";
import { choices, factors, ops, words as answers } from "../../generated/vocabulary";
import { Button, Choice, Note, NumberField, TextField } from "../../parts";
import type { Problem } from "../../state";
import { textCase } from "../../text-case";
import { errorAt } from "./check";
import { LongText, Many, Pick, Select, withField } from "./fields";
import { ItemsEditor } from "./items";
import { LimitFields } from "./limits";
import { ListEditor } from "./list";
import type { PartProps } from "./parts";

const words = textCase.edit;

export function VariantsPart({ card, base, set, problems }: PartProps) {
  return (
    <ListEditor<Variant> list={card.variants ?? []} onChange={(variants) => set({ variants })} keyOf={(v) => v.key} title={(v) => v.title}
      summary={(v) => v.when.map(testText).join(", ") || words.noTest} blank={(title, key) => ({ key, title, when: [] })}
      addLabel={words.variantAdd} nameLabel={words.variantTitle} path="variants" problems={problems}>
      {(v, put, at) => (
        <>
          <TextField label={words.variantTitle} value={v.title} onChange={(title) => put({ ...v, title })} problem={errorAt(problems, `${at}/title`)} />
          <Tests tests={v.when} onChange={(when) => put({ ...v, when })} problem={errorAt(problems, `${at}/when`)} />
          <VariantPhases card={card} variant={v} was={base?.variants?.find((x) => x.key === v.key)} put={put} path={at} problems={problems} />
          <h4>{words.variantItems}</h4>
          <ItemsEditor list={v.items ?? []} onChange={(items) => put(withField(v, "items", items.length > 0 ? items : undefined))} path={`${at}/items`} problems={problems} />
          <Many label={words.variantWithout} options={(card.items ?? []).map((i) => ({ value: i.key, label: i.name }))} value={v.without}
            onChange={(w) => put(withField(v, "without", w))} problem={errorAt(problems, `${at}/without`)} />
          <LongText label={words.variantNote} value={v.note ?? ""} onChange={(n) => put(withField(v, "note", n))} problem={errorAt(problems, `${at}/note`)} />
          {ownErrors(problems, at).map((text) => <Note key={text}>{text}</Note>)}
        </>
      )}
    </ListEditor>
  );
}

function ownErrors(problems: readonly Problem[], path: string): string[] {
  return problems.filter((p) => p.level === "error" && p.path === path).map((p) => p.text);
}

interface VariantPhasesProps {
  card: Card;
  variant: Variant;
  was: Variant | undefined;
  put: (v: Variant) => void;
  path: string;
  problems: readonly Problem[];
}

/** A variant brings whole phases. It begins as the card's own limits, so that what differs is what somebody changed. */
function VariantPhases({ card, variant, was, put, path, problems }: VariantPhasesProps) {
  const own = variant.phases ?? [];
  const setPhases = (phases: PhaseChange[]) => put(withField(variant, "phases", phases.length > 0 ? phases : undefined));
  return (
    <>
      <h4>{words.variantPhases}</h4>
      {(card.phases ?? []).map((p) => {
        const change = own.find((x) => x.phase === p.key);
        if (!change) {
          return <div key={p.key}><Button icon="plus" onClick={() => setPhases([...own, { phase: p.key, limits: { ...p.limits } }])}>{words.variantPhaseAdd(p.name)}</Button></div>;
        }
        const old = was?.phases?.find((x) => x.phase === p.key)?.limits ?? p.limits;
        return (
          <fieldset key={p.key} class="panel variant-phase">
            <legend><strong>{p.name}</strong></legend>
            <LimitFields limits={change.limits} was={old} kind={p.kind} card={card} path={`${path}/${p.key}`} problems={problems}
              onChange={(limits) => setPhases(own.map((x) => (x.phase === p.key ? { ...x, limits } : x)))} />
            <Button kind="danger" onClick={() => setPhases(own.filter((x) => x.phase !== p.key))}>{words.variantPhaseDrop(p.name)}</Button>
          </fieldset>
        );
      })}
    </>
  );
}

export function FitPart({ card, set, problems }: PartProps) {
  return (
    <ListEditor<Fit> list={card.fit ?? []} onChange={(fit) => set({ fit })} keyOf={(_, i) => String(i + 1)} title={(f) => `${f.speaks}: ${testText(f.when)}`} summary={(f) => f.reason}
      blank={() => ({ speaks: "for", when: emptyTest, reason: "" })} addLabel={words.fitAdd} path="fit" problems={problems}>
      {(f, put, at) => (
        <>
          <Pick needed label={words.speaks} options={choices.speaks} value={f.speaks} onChange={(v) => put({ ...f, speaks: v ?? f.speaks })} />
          <TestFields test={f.when} onChange={(when) => put({ ...f, when })} />
          <LongText label={words.fitReason} value={f.reason} onChange={(reason) => put({ ...f, reason })} problem={errorAt(problems, at)} />
        </>
      )}
    </ListEditor>
  );
}

const emptyTest: Test = { factor: "", op: "is", value: "" };

/** The condition in words, as far as it is written. */
function testText(t: Test): string {
  const f = factors.find((x) => x.id === t.factor);
  if (!f) return words.noTest;
  return [f.label, t.op, t.value, f.unit].filter(Boolean).join(" ");
}

interface TestsProps {
  tests: readonly Test[];
  onChange: (tests: Test[]) => void;
  problem: string | null;
}

/** Conditions that must all hold, picked and never typed as a formula. */
function Tests({ tests, onChange, problem }: TestsProps) {
  return (
    <fieldset class="tests">
      <legend class="choice-legend">{words.variantWhen}</legend>
      {tests.map((t, i) => (
        <div key={i} class="panel test">
          {i > 0 && <p class="quiet">{words.variantAnd}</p>}
          <TestFields test={t} onChange={(next) => onChange(tests.map((x, n) => (n === i ? next : x)))} />
          <Button kind="quiet" icon="cross" onClick={() => onChange(tests.filter((_, n) => n !== i))}>{words.removeTest}</Button>
        </div>
      ))}
      <Button icon="plus" onClick={() => onChange([...tests, emptyTest])}>{words.addTest}</Button>
      <p class="field-problem" aria-live="polite">{problem}</p>
    </fieldset>
  );
}

function TestFields({ test, onChange }: { test: Test; onChange: (t: Test) => void }) {
  const f = factors.find((x) => x.id === test.factor);
  const choose = (id: string) => {
    const next = factors.find((x) => x.id === id);
    onChange(next ? { factor: id, op: ops[next.kind][0] ?? "is", value: next.kind === "text" ? answers.none : "" } : emptyTest);
  };
  return (
    <>
      <Select label={words.factor} value={test.factor} none={words.chooseFact} onChange={choose}
        options={factors.map((x) => ({ value: x.id, label: x.label, group: x.group }))} />
      {f && ops[f.kind].length > 1 && <Choice legend={words.op} options={ops[f.kind]} value={test.op} onChange={(op) => onChange({ ...test, op: op as Test["op"] })} />}
      {f?.kind === "number" && <NumberField label={words.value} unit={f.unit} min={f.min} max={f.max} value={test.value ?? ""} onChange={(value) => onChange({ ...test, value })} />}
      {(f?.kind === "choice" || f?.kind === "set") && <Choice legend={words.value} options={f.options ?? []} value={test.value || null} onChange={(value) => onChange({ ...test, value })} />}
      {f?.kind === "text" && <p class="quiet">{testText(test)}</p>}
    </>
  );
}
