import { useState } from "preact/hooks";
import type { Action, ActionLine, Allergen, Item, PauseID, RuleBook, Weight } from "../../generated/types";
import { choices, pauseIDs, roles } from "../../generated/vocabulary";
import { Button, Choice, TextArea } from "../../parts";
import type { Problem } from "../../state";
import { textUnit } from "../../text-unit";
import { errorAt } from "../edit/check";
import { asOptions, LongText, Many, Select, withField } from "../edit/fields";
import { ItemFields } from "../edit/items";
import { newKey } from "../edit/keys";
import { ListEditor } from "../edit/list";
import { actionText, blankAction, emptyLine, keyWords, knownDrills, knownItems, storedValues, type Named } from "./book";

const words = textUnit.rule;
type Kind = Action["do"];

interface ActionsProps {
  list: readonly Action[];
  onChange: (list: Action[]) => void;
  book: RuleBook;
  problems: readonly Problem[];
  path: string;
}

/** What a rule does, one action after the other. */
export function Actions({ list, onChange, book, problems, path }: ActionsProps) {
  return (
    <ListEditor<Action> list={list} onChange={onChange} keyOf={(_, i) => String(i + 1)} title={actionText} summary={(a) => words.kinds[a.do]}
      blank={() => blankAction("add caution")} addLabel={words.addAction} path={path} problems={problems}>
      {(a, put, at) => <ActionFields action={a} put={put} book={book} problems={problems} path={at} />}
    </ListEditor>
  );
}

interface ActionProps {
  action: Action;
  put: (a: Action) => void;
  book: RuleBook;
  problems: readonly Problem[];
  path: string;
}

function ActionFields(p: ActionProps) {
  const { action: a, put, problems, path } = p;
  const own = problems.filter((x) => x.level === "error" && (x.path === path || x.path === `${path}/do`));
  return (
    <>
      <Select label={words.kind} value={a.do} none={words.choose} options={(Object.keys(words.kinds) as Kind[]).map((value) => ({ value, label: words.kinds[value] }))}
        problem={own[0]?.text ?? null} onChange={(k) => { if (k) put(blankAction(k as Kind)); }} />
      {a.do === "add item" && <ItemChoice {...p} field="item" />}
      {(a.do === "add line" || a.do === "add question") && <>
        <Choice legend={words.pause} options={pauseIDs} value={a.pause ?? null} onChange={(v) => put({ ...a, pause: v as PauseID })} problem={errorAt(problems, `${path}/pause`)} />
        <LineFields line={a.line ?? emptyLine} put={(line) => put({ ...a, line })} book={p.book} problems={problems} path={`${path}/line`} />
      </>}
      {a.do === "add caution" && <>
        <LongText label={words.cautionText} value={a.text ?? ""} onChange={(v) => put(withField(a, "text", v))} problem={errorAt(problems, `${path}/text`)} />
        <Choice legend={words.weight} value={a.weight ?? null} onChange={(v) => put({ ...a, weight: v as Weight })} problem={errorAt(problems, `${path}/weight`)}
          options={(Object.keys(words.weights) as Weight[]).map((value) => ({ value, label: words.weights[value] }))} />
      </>}
      {(a.do === "withhold" || a.do === "do not") && <Forbidden {...p} />}
      {a.do === "raise" && <Select label={words.trigger} value={a.trigger ?? ""} none={words.choose} options={withOwn(knownDrills(p.book), a.trigger)}
        onChange={(v) => put(withField(a, "trigger", v))} problem={errorAt(problems, `${path}/trigger`)} />}
    </>
  );
}

function withOwn(list: readonly Named[], own: string | undefined): Named[] {
  return !own || list.some((o) => o.value === own) ? [...list] : [...list, { value: own, label: keyWords(own) }];
}

function Forbidden({ action: a, put, book, problems, path }: ActionProps) {
  return (
    <>
      <Keys label={words.items} known={knownItems(book)} value={a.items ?? []} onChange={(v) => put(withField(a, "items", v.length > 0 ? v : undefined))} problem={errorAt(problems, `${path}/items`)} />
      {a.do === "withhold" && <Many label={words.allergens} options={asOptions(choices.allergen)} value={a.allergens} onChange={(v) => put(withField(a, "allergens", v as Allergen[] | undefined))} problem={errorAt(problems, `${path}/allergens`)} />}
      {a.do === "do not" && <StepWords value={a.steps ?? []} onChange={(v) => put(withField(a, "steps", v.length > 0 ? v : undefined))} problem={errorAt(problems, `${path}/steps`)} />}
      {a.do === "withhold" && <>
        <Choice legend={words.substitute} value={a.substitute ? "set" : "none"} options={[{ value: "none", label: words.substituteNone }, { value: "set", label: words.substituteSet }]}
          onChange={(v) => put(withField(a, "substitute", v === "set" ? a.substitute ?? newItem("", []) : undefined))} />
        {a.substitute && <ItemChoice action={a} put={put} book={book} problems={problems} path={path} field="substitute" />}
      </>}
      <LongText label={words.whyText} value={a.text ?? ""} onChange={(v) => put(withField(a, "text", v))} problem={errorAt(problems, `${path}/text`)} />
    </>
  );
}

/** The words of steps, one a line; blank lines are for the eye while writing. */
function StepWords({ value, onChange, problem }: { value: readonly string[]; onChange: (v: string[]) => void; problem: string | null }) {
  const [typed, setTyped] = useState(value.join("\n"));
  const type = (v: string) => {
    setTyped(v);
    onChange(v.split("\n").map((l) => l.trim()).filter(Boolean));
  };
  return <TextArea label={words.steps} hint={words.stepsHint} rows={2} value={typed} onChange={type} problem={problem} />;
}

function newItem(name: string, taken: readonly string[]): Item {
  return { key: name === "" ? "" : newKey(name, taken), name, kind: "consumable", quantity: 1, state: "have ready" };
}

/** An item that is known by the cards or another rule, or a new one. */
function ItemChoice({ action: a, put, book, problems, path, field }: ActionProps & { field: "item" | "substitute" }) {
  const known = knownItems(book);
  const item = a[field];
  const place = `${path}/${field}`;
  const isKnown = item !== undefined && item.key !== "" && known.some((k) => k.value === item.key);
  const choose = (key: string) => {
    const k = known.find((x) => x.value === key);
    put({ ...a, [field]: k ? { ...newItem(k.label, []), ...item, key: k.value, name: k.label } : newItem("", []) });
  };
  const change = (next: Item) => put({ ...a, [field]: isKnown ? next : { ...next, key: next.name === item?.name && item.key ? item.key : newKey(next.name, known.map((k) => k.value)) } });
  return (
    <div class="panel stack">
      <Select label={words.itemKnown} value={isKnown ? item.key : ""} none={words.itemNew} options={known} onChange={choose} problem={item ? null : errorAt(problems, place)} />
      <p class="quiet">{words.itemHint}</p>
      <ItemFields item={item ?? newItem("", [])} put={change} path={place} problems={problems} />
    </div>
  );
}

interface KeysProps {
  label: string;
  known: readonly Named[];
  value: readonly string[];
  onChange: (keys: string[]) => void;
  problem: string | null;
}

/** Several of many: what was chosen stands as buttons that take it away again. */
function Keys({ label, known, value, onChange, problem }: KeysProps) {
  const name = (key: string) => known.find((k) => k.value === key)?.label ?? keyWords(key);
  return (
    <div class="stack-close">
      <Select label={label} value="" none={words.chooseKey} options={known.filter((k) => !value.includes(k.value))} problem={problem} onChange={(v) => { if (v) onChange([...value, v]); }} />
      <div class="row">
        {value.map((k) => <Button key={k} icon="cross" label={words.removeKey(name(k))} onClick={() => onChange(value.filter((x) => x !== k))}>{name(k)}</Button>)}
      </div>
    </div>
  );
}

interface LineProps {
  line: ActionLine;
  put: (l: ActionLine) => void;
  book: RuleBook;
  problems: readonly Problem[];
  path: string;
}

/** One line that is read aloud: who asks, who answers, what a good answer sounds like. */
export function LineFields({ line, put, book, problems, path }: LineProps) {
  const who = roles.map((r) => ({ value: r, label: r }));
  return (
    <>
      <LongText label={words.text} value={line.text} onChange={(text) => put({ ...line, text })} problem={errorAt(problems, `${path}/text`)} />
      <p class="quiet">{words.textHint}</p>
      <Select label={words.ask} value={line.ask} none={words.choose} options={who} onChange={(ask) => put({ ...line, ask })} problem={errorAt(problems, `${path}/ask`)} />
      <Select label={words.answer} value={line.answer} none={words.choose} options={who} onChange={(answer) => put({ ...line, answer })} problem={errorAt(problems, `${path}/answer`)} />
      <LongText label={words.expect} value={line.expect ?? ""} onChange={(v) => put(withField(line, "expect", v))} problem={errorAt(problems, `${path}/expect`)} />
      <Select label={words.stored} value={line.value ?? ""} none={words.storedNone} options={storedValues(book)} onChange={(v) => put(withField(line, "value", v))} problem={errorAt(problems, `${path}/value`)} />
    </>
  );
}
