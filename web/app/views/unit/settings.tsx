import { useState } from "preact/hooks";
import type { Mark, Setting } from "../../generated/types";
import { Button, Caution, Choice, Link, NumberField, TextField, toast } from "../../parts";
import type { Problem } from "../../state";
import { textUnit } from "../../text-unit";
import { cautionsAt, errorAt } from "../edit/check";
import { LongText, withField } from "../edit/fields";
import { newKey } from "../edit/keys";
import { usersOf, type FaceProps } from "./book";

const words = textUnit.settings;
const markOptions = () => (Object.keys(textUnit.rule.marks) as Mark[]).map((value) => ({ value, label: textUnit.rule.marks[value] }));

/** The figures the unit has chosen. */
export function SettingsFace({ book, base, set, problems }: FaceProps) {
  const list = book.settings ?? [];
  const put = (next: Setting[]) => set({ settings: next });
  const remove = (s: Setting) => {
    put(list.filter((x) => x.id !== s.id));
    toast(words.removed(s.label), { undo: () => put([...list]) });
  };
  return (
    <>
      <p class="quiet">{words.lead}</p>
      {list.map((s) => (
        <section key={s.id} class="panel stack" aria-label={s.label}>
          <Value of={s} was={base.settings?.find((x) => x.id === s.id)} problems={problems} onChange={(value) => put(list.map((x) => (x.id === s.id ? { ...x, value } : x)))} />
          <Users book={book} id={s.id} />
          <Rest of={s} problems={problems} put={(next) => put(list.map((x) => (x.id === s.id ? next : x)))} onRemove={() => remove(s)} />
        </section>
      ))}
      <Add taken={list.map((s) => s.id)} onAdd={(s) => put([...list, s])} />
    </>
  );
}

function Value({ of: s, was, problems, onChange }: { of: Setting; was: Setting | undefined; problems: readonly Problem[]; onChange: (v: string) => void }) {
  const path = `settings/${s.id}`;
  return (
    <>
      <NumberField label={s.label} value={s.value} unit={s.unit} was={was?.value} onChange={onChange} problem={errorAt(problems, `${path}/value`)}
        hint={words.range(s.min, s.max, s.unit, s.mark)} />
      {s.source && <p class="quiet">{words.source(s.source)}</p>}
      {cautionsAt(problems, `${path}/value`).map((c) => <Caution key={c.text}>{c.text}</Caution>)}
    </>
  );
}

function Users({ book, id }: { book: FaceProps["book"]; id: string }) {
  const users = usersOf(book, id);
  if (users.length === 0) return <p>{words.usedNowhere}</p>;
  return (
    <div class="row">
      <span>{words.used}:</span>
      {users.map((r) => <Link key={r.id} href={`/rules/${r.id}`} class="unit-link">{r.title}</Link>)}
    </div>
  );
}

/** What seldom changes. */
function Rest({ of: s, problems, put, onRemove }: { of: Setting; problems: readonly Problem[]; put: (s: Setting) => void; onRemove: () => void }) {
  const at = `settings/${s.id}`;
  return (
    <details class="unit-more">
      <summary>{words.more}</summary>
      <div class="stack">
        <TextField label={words.label} value={s.label} onChange={(label) => put({ ...s, label })} problem={errorAt(problems, `${at}/label`)} />
        <TextField label={words.unit} value={s.unit ?? ""} onChange={(v) => put(withField(s, "unit", v))} problem={errorAt(problems, `${at}/unit`)} />
        <NumberField label={words.min} value={s.min} unit={s.unit} onChange={(min) => put({ ...s, min })} problem={errorAt(problems, `${at}/min`)} />
        <NumberField label={words.max} value={s.max} unit={s.unit} onChange={(max) => put({ ...s, max })} problem={errorAt(problems, `${at}/max`)} />
        <LongText label={words.sourceField} value={s.source} onChange={(source) => put({ ...s, source })} problem={errorAt(problems, `${at}/source`)} />
        <Choice legend={textUnit.rule.mark} options={markOptions()} value={s.mark} onChange={(v) => put({ ...s, mark: v as Mark })} problem={errorAt(problems, `${at}/mark`)} />
        <div><Button kind="danger" onClick={onRemove}>{words.remove}</Button></div>
      </div>
    </details>
  );
}

function Add({ taken, onAdd }: { taken: readonly string[]; onAdd: (s: Setting) => void }) {
  const [label, setLabel] = useState("");
  const add = () => {
    const name = label.trim();
    if (name === "") return;
    onAdd({ id: newKey(name, taken), label: name, value: "", min: "", max: "", source: "", mark: "unconfirmed" });
    setLabel("");
  };
  return (
    <form class="unit-add" onSubmit={(e) => { e.preventDefault(); add(); }}>
      <TextField label={words.addLabel} value={label} onChange={setLabel} maxLength={80} />
      <Button submit icon="plus" disabled={label.trim() === ""}>{words.add}</Button>
    </form>
  );
}
