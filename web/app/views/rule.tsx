import { useState } from "preact/hooks";
import type { Mark, PauseID, Rule, RuleBook, ScriptQuestion } from "../generated/types";
import { pauseIDs, roles } from "../generated/vocabulary";
import { Button, Choice, EmptyState, Tag, TextField, toast } from "../parts";
import { go } from "../router";
import { iMay, me, type Problem } from "../state";
import { textUnit } from "../text-unit";
import { errorAt } from "./edit/check";
import { LongText, Select, withField } from "./edit/fields";
import { Actions } from "./unit/action";
import { actionText, conditionText, type FaceProps } from "./unit/book";
import { ConditionFields } from "./unit/condition";

const words = textUnit.rule;

/** One house rule: what it says, and the form that changes it. */
export function RuleFace({ id, book, base, set, problems }: FaceProps & { id: string }) {
  const rule = book.rules.find((r) => r.id === id);
  const isNew = rule !== undefined && !base.rules.some((r) => r.id === id);
  const [open, setOpen] = useState(isNew);
  if (!rule) return <EmptyState title={textUnit.rules.noRule} action={<Button href="/rules">{textUnit.rules.toRules}</Button>} />;
  const put = (next: Rule) => set({ rules: book.rules.map((r) => (r.id === id ? next : r)) });
  const remove = () => {
    set({ rules: book.rules.filter((r) => r.id !== id) });
    toast(words.removed(rule.title), { undo: () => set({ rules: book.rules }) });
    go("/rules");
  };
  return (
    <>
      <RuleInWords rule={rule} book={book} />
      {!open && me.value && iMay("rules") && <div><Button icon="edit" kind="primary" onClick={() => setOpen(true)}>{words.change}</Button></div>}
      {open && <RuleForm rule={rule} put={put} book={book} problems={problems} />}
      {open && <div><Button kind="danger" onClick={remove}>{words.remove}</Button></div>}
    </>
  );
}

function RuleInWords({ rule: r, book }: { rule: Rule; book: RuleBook }) {
  return (
    <section class="panel stack-close rule-said" aria-labelledby="rule-title">
      <h2 id="rule-title">{r.title}</h2>
      <p><strong>{words.inWords}:</strong> {conditionText(r.when, book)}</p>
      <p><strong>{words.does}:</strong></p>
      <ul>{(r.do ?? []).map((a, i) => <li key={i}>{actionText(a)}</li>)}</ul>
      <p><strong>{words.unknownHead}:</strong> {r.unknown ? `${words.unknownAsks(r.unknown.pause)}: ${r.unknown.text}` : r.unasked ? words.unknownNot(r.unasked) : words.unknownTogether}</p>
      <p class="quiet">{words.source}: {r.source} <Tag kind={r.mark === "published" ? "plain" : "caution"}>{words.marks[r.mark]}</Tag></p>
      <p class="quiet">{textUnit.rules.owner}: {r.owner} · {textUnit.rules.reviewDue(r.review)}</p>
    </section>
  );
}

interface FormProps {
  rule: Rule;
  put: (r: Rule) => void;
  book: RuleBook;
  problems: readonly Problem[];
}

function RuleForm({ rule: r, put, book, problems }: FormProps) {
  const at = `rules/${r.id}`;
  return (
    <div class="stack rule-form">
      <TextField label={words.title} value={r.title} onChange={(title) => put({ ...r, title })} problem={errorAt(problems, `${at}/title`)} />
      <ConditionFields of={r.when} book={book} problems={problems} path={`${at}/when`} onChange={(when) => put({ ...r, when })} />
      <h3>{words.actions}</h3>
      <Actions list={r.do ?? []} onChange={(list) => put(withField(r, "do", list.length > 0 ? list : undefined))} book={book} problems={problems} path={`${at}/do`} />
      {errorAt(problems, `${at}/do`) && (r.do ?? []).length === 0 && <p class="field-problem">{errorAt(problems, `${at}/do`)}</p>}
      <Unknown rule={r} put={put} problems={problems} at={at} />
      <LongText label={words.source} value={r.source} onChange={(source) => put({ ...r, source })} problem={errorAt(problems, `${at}/source`)} />
      <p class="quiet">{words.sourceHint}</p>
      <Choice legend={words.mark} value={r.mark} problem={errorAt(problems, `${at}/mark`)} onChange={(v) => put({ ...r, mark: v as Mark })}
        options={(Object.keys(words.marks) as Mark[]).map((value) => ({ value, label: words.marks[value] }))} />
      <TextField label={words.owner} value={r.owner} onChange={(owner) => put({ ...r, owner })} problem={errorAt(problems, `${at}/owner`)} />
      <TextField label={words.review} type="date" value={r.review} onChange={(review) => put({ ...r, review })} problem={errorAt(problems, `${at}/review`)} />
    </div>
  );
}

type Way = keyof typeof words.unknownWays;
const blankQuestion: ScriptQuestion = { pause: "team brief", ask: "reader", answer: "surgeon", text: "" };

/** What happens when the condition cannot be answered. "Not known" never reads as no. */
function Unknown({ rule: r, put, problems, at }: Omit<FormProps, "book"> & { at: string }) {
  const [way, setWay] = useState<Way>(r.unknown ? "ask" : r.unasked !== undefined ? "none" : "together");
  const choose = (v: string) => {
    const { unknown: _u, unasked: _n, ...rest } = r;
    setWay(v as Way);
    put(v === "ask" ? { ...rest, unknown: r.unknown ?? blankQuestion } : rest);
  };
  const q = r.unknown;
  const who = roles.map((x) => ({ value: x, label: x }));
  return (
    <>
      <Choice legend={words.unknown} options={(Object.keys(words.unknownWays) as Way[]).map((value) => ({ value, label: words.unknownWays[value] }))} value={way} onChange={choose} problem={problems.find((p) => p.level === "error" && p.path === `${at}/unknown`)?.text ?? null} />
      {q && <div class="panel stack">
        <Choice legend={words.pause} options={pauseIDs} value={q.pause} onChange={(v) => put({ ...r, unknown: { ...q, pause: v as PauseID } })} />
        <LongText label={words.text} value={q.text} onChange={(text) => put({ ...r, unknown: { ...q, text } })} problem={errorAt(problems, `${at}/unknown/text`)} />
        <Select label={words.ask} value={q.ask} none={words.choose} options={who} onChange={(ask) => put({ ...r, unknown: { ...q, ask } })} problem={errorAt(problems, `${at}/unknown/ask`)} />
        <Select label={words.answer} value={q.answer} none={words.choose} options={who} onChange={(answer) => put({ ...r, unknown: { ...q, answer } })} problem={errorAt(problems, `${at}/unknown/answer`)} />
      </div>}
      {way === "none" && <LongText label={words.unasked} value={r.unasked ?? ""} onChange={(v) => put(withField(r, "unasked", v))} problem={errorAt(problems, `${at}/unasked`)} />}
    </>
  );
}
