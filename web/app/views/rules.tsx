import { useState } from "preact/hooks";
import type { Rule, RuleBook } from "../generated/types";
import { factors } from "../generated/vocabulary";
import { said } from "../lang/said";
import { Button, daysSince, dayShort, EmptyState, Icon, Link, Note, Screen, Tabs, Tag, TextField, toast, today, TwoValues } from "../parts";
import { go, route } from "../router";
import { doc, iMay, keep, me, type Doc, type OpenQuestion, type Problem } from "../state";
import { textCase } from "../text-case";
import { textUnit } from "../text-unit";
import { DraftNote } from "./case";
import { useCheck } from "./edit/check";
import { opened, useDraft, type Draft } from "./edit/draft";
import { newKey } from "./edit/keys";
import { Marks } from "./edit/list";
import "./editcard.css";
import { stable } from "./newer";
import { Offer } from "./offer";
import { nameOf } from "./people";
import { RuleFace } from "./rule";
import "./rules.css";
import { conditionText, factorLabel, factorsOf, type FaceProps } from "./unit/book";
import { DrillsFace } from "./unit/drills";
import { KeepRules } from "./unit/keeprules";
import { PartsFace } from "./unit/parts";
import { PausesFace } from "./unit/pauses";
import { RuleHistory } from "./unit/rulehistory";
import { SettingsFace } from "./unit/settings";
import { bookWith } from "./unit/side";
import { TrialPanel } from "./unit/trial";

const words = textUnit.rules;
const faces = ["rules", "settings", "pauses", "drills", "parts", "book", "history"] as const;
type Face = (typeof faces)[number];

/** The book being written, and the document as it was when somebody began. */
interface BookDraft {
  book: RuleBook;
  from: Doc<RuleBook>;
  settles: string[];
}

/** The unit's rule book: to read, to change, to try on the cases of the list. */
export function Rules() {
  const of = doc<RuleBook>("rules", "house");
  if (!of) {
    return (
      <Screen title={words.title} back={{ href: "/", label: textUnit.backToday }}>
        <EmptyState title={words.missing} help="unit-lead"><p>{words.missingWhy}</p></EmptyState>
      </Screen>
    );
  }
  return <Book of={of} />;
}

function Book({ of }: { of: Doc<RuleBook> }) {
  const draft = useDraft<BookDraft | null>("rules/house", () => null);
  const now: BookDraft = draft.value ?? { book: of.body, from: opened(of), settles: [] };
  const { book, from, settles } = now;
  const change = (next: (d: BookDraft) => BookDraft) => draft.set((d) => next(d ?? { book: of.body, from: opened(of), settles: [] }));
  const set = (part: Partial<RuleBook>) => change((d) => ({ ...d, book: { ...d.book, ...part } }));
  const { problems } = useCheck("rules", book);
  const changed = settles.length > 0 || stable(book) !== stable(from.body);
  const moved = changed && (of.rev !== from.rev || of.after !== from.after);
  const errors = problems.filter((p) => p.level === "error").length;
  const face = faceOf();
  const id = route.value.parts[1] ?? "";
  const props: FaceProps = { book, base: from.body, set, problems };
  return (
    <Screen title={words.title} back={face === "rule" ? { href: "/rules", label: words.toRules } : { href: "/", label: textUnit.backToday }} wide
      foot={changed && <Foot now={now} problems={problems} draft={draft} />}>
      <Head of={of} book={book} whole={face === "rules"} />
      {draft.found && changed && <DraftNote draft={draft} />}
      {draft.unsafe && <Note>{textCase.draftUnsafe}</Note>}
      {moved && <Note>{words.moved(of.rev)}</Note>}
      {me.value ? <Offer kind="rules" /> : <div class="panel row-apart"><p>{words.whoWhy}</p><Button href="/person">{words.who}</Button></div>}
      {of.questions.length > 0 && <Questions list={of.questions} settles={settles} onTake={(q, side) => change((d) => ({ ...d, book: bookWith(d.book, q, side), settles: [...new Set([...d.settles, q.id])] }))} />}
      <div class="rules-faces"><Tabs label={words.facesLabel} current={face === "rule" ? "rules" : face} tabs={faces.map((f) => ({ key: f, label: words.faces[f], href: f === "rules" ? "/rules" : `/rules/${f}` }))} /></div>
      <div class={face === "history" ? "rules-columns rules-one" : "rules-columns"}>
        <div class="rules-main stack">
          {face === "rule" ? <RuleFace key={id} id={id} {...props} /> : <FaceBody face={face} of={of} props={props} />}
        </div>
        {face !== "history" && <TrialPanel base={from.body} book={book} changed={changed} broken={errors > 0} />}
      </div>
    </Screen>
  );
}

function faceOf(): Face | "rule" {
  const [, part] = route.value.parts;
  if (part === undefined) return "rules";
  return faces.find((f) => f === part) ?? "rule";
}

function FaceBody({ face, of, props }: { face: Face; of: Doc<RuleBook>; props: FaceProps }) {
  switch (face) {
    case "rules": return <RuleList {...props} />;
    case "settings": return <SettingsFace {...props} />;
    case "pauses": return <PausesFace {...props} />;
    case "drills": return <DrillsFace {...props} />;
    case "parts": return <PartsFace {...props} />;
    case "book": return <BookFields {...props} />;
    case "history": return <RuleHistory of={of} />;
  }
}

/** Which book it is; on the first face also what it is for and whose. */
function Head({ of, book, whole }: { of: Doc<RuleBook>; book: RuleBook; whole: boolean }) {
  return (
    <header class="stack-close">
      <p><strong>{book.title}</strong> · {words.revision(of.rev)}{book.review && ` · ${words.reviewDue(dayShort(book.review))}`}{of.waiting > 0 && <> <Tag kind="accent" icon="waiting">{words.changedHere}</Tag></>}</p>
      {whole && <p class="quiet">{words.lead} {words.whose(book.owner)}</p>}
    </header>
  );
}

function Foot({ now, problems, draft }: { now: BookDraft; problems: readonly Problem[]; draft: Draft<BookDraft | null> }) {
  const [keeping, setKeeping] = useState(false);
  const { book, from, settles } = now;
  const errors = problems.filter((p) => p.level === "error").length;
  const save = async (reason: string) => {
    await keep({ kind: "rules", doc: "house", body: book, reason, from, ...(settles.length > 0 && { decides: settles }) });
    clear(draft);
    toast(textCase.kept);
    setKeeping(false);
  };
  const drop = () => {
    const before = draft.value;
    clear(draft);
    toast(words.drop, { undo: () => draft.set(() => before) });
  };
  if (!me.value) return <Button kind="primary" wide href="/person">{words.who}</Button>;
  if (!iMay("rules")) return <><Button kind="quiet" icon="undo" onClick={drop}>{words.drop}</Button><Offer kind="rules" /></>;
  return (
    <>
      <Button kind="quiet" icon="undo" onClick={drop}>{words.drop}</Button>
      <Button kind="primary" onClick={() => setKeeping(true)}>{words.look}{errors > 0 && ` (${words.toMend(errors)})`}</Button>
      {keeping && <KeepRules book={book} base={from.body} problems={problems} onKeep={save} onClose={() => setKeeping(false)} />}
    </>
  );
}

/** Nothing is being written any more; the book on this device stands. */
function clear(draft: Draft<BookDraft | null>): void {
  draft.set(() => null);
}

function BookFields({ book, set, problems }: FaceProps) {
  const at = (path: string) => problems.find((p) => p.level === "error" && p.path === path)?.text ?? null;
  return (
    <>
      <TextField label={words.bookTitle} value={book.title} onChange={(title) => set({ title })} problem={at("title")} />
      <TextField label={words.bookOwner} value={book.owner} onChange={(owner) => set({ owner })} problem={at("owner")} />
      <TextField label={words.bookReview} type="date" value={book.review ?? ""} onChange={(review) => set({ review })} problem={at("review")} />
    </>
  );
}

interface QuestionsProps {
  list: readonly OpenQuestion[];
  settles: readonly string[];
  onTake: (q: OpenQuestion, side: "head" | "mine") => void;
}

/** Both sides of every open question; one of them can be taken into the change. */
function Questions({ list, settles, onTake }: QuestionsProps) {
  return (
    <section class="panel stack" aria-labelledby="rules-questions">
      <h2 id="rules-questions">{words.questions}</h2>
      <p>{words.questionsLead}</p>
      {list.map((q) => (
        <div key={q.id} class="stack-close">
          <h3>{q.label}</h3>
          <TwoValues label={q.label} sides={[{ text: differs(q.head_text, q.mine_text), by: nameOf(q.head_by) }, { text: differs(q.mine_text, q.head_text), by: nameOf(q.mine_by) }]} />
          {settles.includes(q.id) && <p><Tag kind="ok">{words.taken}</Tag></p>}
          {!q.foreseen && me.value && iMay("rules") && <div class="row">
            {(["head", "mine"] as const).map((side) => <Button key={side} onClick={() => onTake(q, side)}>{words.takeThis}: {nameOf(side === "head" ? q.head_by : q.mine_by)}</Button>)}
          </div>}
        </div>
      ))}
    </section>
  );
}

/** What one side says and the other does not, a value a line; the core puts "; " between values. */
function differs(side: string, other: string): string {
  if (side === "") return words.removedThere;
  const there = other.split("; ");
  const own = side.split("; ").filter((v) => !there.includes(v));
  return (own.length > 0 ? own : side.split("; ")).join("\n");
}

/** The rules by the fact they ask for. */
function RuleList({ book, base, set, problems }: FaceProps) {
  const [wanted, setWanted] = useState("");
  const found = book.rules.filter((r) => fits(r, wanted));
  const add = (title: string) => {
    const id = newKey(title, [...book.rules.map((r) => r.id), ...faces]);
    set({ rules: [...book.rules, { id, title, source: "", mark: "common practice", owner: book.owner, review: book.review ?? today(), when: {} }] });
    go(`/rules/${id}`);
  };
  return (
    <>
      <TextField label={words.find} type="search" hint={words.findHint} value={wanted} onChange={setWanted} />
      <p role="status" class="quiet">{words.found(found.length)}</p>
      {found.length === 0 && <p>{words.noneFound} <Button kind="quiet" onClick={() => setWanted("")}>{words.showAll}</Button></p>}
      {byFactor(found).map(([head, list]) => (
        <section key={head} class="stack-close">
          <h2 class="rules-fact">{head}</h2>
          <ul role="list" class="rules-list">{list.map((r) => <li key={r.id}><RuleRow rule={r} head={head} book={book} was={base.rules.find((x) => x.id === r.id)} problems={problems} /></li>)}</ul>
        </section>
      ))}
      {me.value && iMay("rules") && <NewRule onAdd={add} />}
    </>
  );
}

function fits(r: Rule, wanted: string): boolean {
  const named = [r.title, ...factorsOf(r.when).map(factorLabel)];
  const hay = [...named, ...named.map(said), r.source, r.owner].join(" ").toLowerCase();
  return wanted.toLowerCase().split(/\s+/).every((w) => hay.includes(w));
}

/** Each rule once, under the first fact it asks for, in the order a case is asked. */
function byFactor(list: readonly Rule[]): [string, Rule[]][] {
  const heads = new Map<string, Rule[]>([...factors.map((f) => f.label), words.technique, words.always].map((h) => [h, []]));
  for (const r of list) {
    const head = headOf(r);
    heads.set(head, [...(heads.get(head) ?? []), r]);
  }
  return [...heads].filter(([, rules]) => rules.length > 0);
}

function headOf(r: Rule): string {
  const [first] = factorsOf(r.when);
  if (first !== undefined) return factorLabel(first);
  return Object.keys(r.when).length > 0 ? words.technique : words.always;
}

interface RowProps {
  rule: Rule;
  head: string;
  book: RuleBook;
  was: Rule | undefined;
  problems: readonly Problem[];
}

function RuleRow({ rule: r, head, book, was, problems }: RowProps) {
  const also = factorsOf(r.when).map(factorLabel).filter((l) => l !== head);
  const over = daysSince(r.review) > 0;
  return (
    <Link href={`/rules/${r.id}`} class="panel rules-row">
      <span class="rules-title">{r.title}</span>
      <span>{conditionText(r.when, book)}</span>
      {also.length > 0 && <span class="quiet">{words.also(also.join(", "))}</span>}
      <span class="rules-marks">
        <Tag kind={r.mark === "published" ? "plain" : "caution"}>{words.marks[r.mark]}</Tag>
        {stable(was) !== stable(r) && <Tag kind="accent" icon="edit">{words.changedHere}</Tag>}
        <Marks problems={problems} path={`rules/${r.id}`} />
        {over && <Tag kind="caution">{words.reviewOver(dayShort(r.review))}</Tag>}
      </span>
      <span class="quiet small">{r.source} · {words.owner}: {r.owner}{!over && ` · ${words.reviewDue(dayShort(r.review))}`}</span>
      <Icon name="forward" />
    </Link>
  );
}

function NewRule({ onAdd }: { onAdd: (title: string) => void }) {
  const [title, setTitle] = useState("");
  return (
    <form class="unit-add" onSubmit={(e) => { e.preventDefault(); if (title.trim()) onAdd(title.trim()); }}>
      <TextField label={words.newTitle} value={title} onChange={setTitle} maxLength={120} />
      <Button submit icon="plus" disabled={title.trim() === ""}>{words.newRule}</Button>
    </form>
  );
}
