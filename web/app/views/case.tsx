import { Fragment } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Card, Case, Factor, LargeChange } from "../generated/types";
import { Button, Caution, Choice, dayInWords, EmptyState, Icon, MultiChoice, Note, ProblemList, Screen, Stepper, TextArea, TextField, toast, today, unbroken } from "../parts";
import { go, route } from "../router";
import { bigChanges, doc, docsOf, iMay, keep, me, newId, sheetFromCase, sheetUse, status, useSheet, type Doc, type OpenQuestion, type Person, type Problem } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import "./case.css";
import { answersTo, askedGroups, kept, scaleOf, type Scale } from "./edit/asked";
import { CardChoice } from "./edit/cardchoice";
import { cautionsAt, errorAt, useCheck } from "./edit/check";
import { forgetDraft, opened, useDraft, type Draft } from "./edit/draft";
import { FactorField } from "./edit/factor";
import { problemsOf } from "./edit/problems";
import { caseWithSide } from "./caseside";
import { stable } from "./newer";
import { Offer } from "./offer";
import { nameOf } from "./people";
import { CaseQuestions } from "./question";

const words = textCase.case;

/** What is being written: the case, which nucleus scale is shown, and the case as it was when the form was opened. */
interface CaseDraft {
  case: Case;
  scale: Scale;
  from: Doc<Case> | null;
  /** The place on the list was chosen; until then the next free one is proposed, and follows what this device learns. */
  placed: boolean;
}

/** A new case, or the facts of one. */
export function CaseForm() {
  const id = route.value.parts[1] ?? "new";
  const from = id === "new" ? null : doc<Case>("case", id) ?? null;
  if (id !== "new" && !from) {
    return (
      <Screen title={words.title} back={{ href: "/", label: text.todayTitle }}>
        <EmptyState title={words.missing} action={<Button href="/">{words.missingBack}</Button>} />
      </Screen>
    );
  }
  return <Form key={id} draftKey={`case/${id}`} from={from} />;
}

function wasKept(d: CaseDraft): boolean {
  const now = doc<Case>("case", d.case.id)?.body;
  return now !== undefined && stable(kept(d.placed ? d.case : { ...d.case, position: now.position }, d.scale)) === stable(now);
}

function begin(from: Doc<Case> | null): CaseDraft {
  if (from) return { case: from.body, scale: scaleOf(from.body), from: opened(from), placed: true };
  const list = route.peek().query.get("list") ?? today();
  return { case: { id: newId(), list, position: 0, surgeon: "", card: "" }, scale: "clinical", from: null, placed: false };
}

function nextPosition(list: string): number {
  const places = docsOf<Case>("case").filter((d) => d.body.list === list && !d.body.removed).map((d) => d.body.position);
  return Math.max(0, ...places) + 1;
}

function Form({ draftKey, from }: { draftKey: string; from: Doc<Case> | null }) {
  const draft = useDraft<CaseDraft>(draftKey, () => begin(from), wasKept);
  const { scale, placed } = draft.value;
  const c = placed ? draft.value.case : { ...draft.value.case, position: nextPosition(draft.value.case.list) };
  const body = kept(c, scale);
  const checked = useCheck("case", body);
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<Problem[]>([]);
  const [large, setLarge] = useState<Asked>({ of: "", list: [] });
  const [meant, setMeant] = useState<string[]>([]);
  const needs = missing(c);
  const base = draft.value.from;
  const moved = from && base && (from.rev !== base.rev || from.after !== base.after);
  const set = (change: Partial<Case>) => draft.set((d) => ({ ...d, case: { ...d.case, ...change } }));
  const setFact = (factor: string, value: string[]) => draft.set((d) => ({ ...d, case: withFact(d.case, factor, value) }));

  const save = async (change: Partial<Case>, reason: string, andMake: boolean) => {
    setTried(true);
    if (needs.length > 0) return;
    if (me.peek() === null) {
      toast(words.whoFirst);
      return go("/person");
    }
    setBusy(true);
    try {
      const asked = base ? await bigChanges("case", base.body, body) : [];
      setLarge({ of: JSON.stringify(body.facts), list: asked });
      if (asked.some((l) => !meant.includes(meaning(l)))) return;
      await keep({ kind: "case", doc: c.id, body: { ...body, ...change }, reason, ...(draft.value.from && { from: draft.value.from }) });
      draft.drop();
      toast(textCase.kept);
      if (andMake) await makeSheet(c.id);
      go(andMake ? `/sheet/${c.id}/setup` : `/?list=${c.list}`);
    } catch (e) {
      setFailed(problemsOf(e));
    } finally {
      setBusy(false);
    }
  };
  const decided = (q: OpenQuestion, side: "head" | "mine") => {
    const now = doc<Case>("case", c.id);
    if (!now) return;
    // What is being written goes on from the decision, where nothing else came in between.
    draft.set((d) => ({ ...d, case: caseWithSide(d.case, q, side), from: moved ? d.from : opened(now) }));
    if (stable(caseWithSide(body, q, side)) === stable(now.body)) forgetDraft(draftKey);
  };
  const reason = from ? words.reasonChange : words.reasonNew;
  const foot = (
    <div class="case-foot"><Offer kind="case">
      <Button kind="primary" wide busy={busy} onClick={() => void save({}, reason, true)}>{sheetUse(c.id).value ? words.keepAndRemake : words.keepAndMake}</Button>
      <Button busy={busy} onClick={() => void save({}, reason, false)}>{words.keepOnly}</Button>
    </Offer></div>
  );
  return (
    <Screen title={from ? words.title : words.titleNew} back={{ href: "/", label: text.todayTitle }} foot={foot}>
      <p class="quiet">{words.lead}</p>
      {draft.found && <DraftNote draft={draft} />}
      {draft.unsafe && <Note>{textCase.draftUnsafe}</Note>}
      {moved && <Note>{words.moved}</Note>}
      {c.removed && <Note>{words.removed}</Note>}
      {from && from.questions.length > 0 && (
        <section class="stack" aria-labelledby="case-questions">
          <h2 id="case-questions">{words.questions}</h2>
          <CaseQuestions of={from} onDecided={decided} />
        </section>
      )}
      <Which c={c} set={set} setFact={setFact} problems={checked.problems} tried={tried} body={body}
        onPlace={(list, position) => draft.set((d) => ({ ...d, placed: position !== null, case: { ...d.case, list, position: position ?? 0 } }))} />
      <Groups c={c} scale={scale} problems={checked.problems} setFact={setFact} setScale={(s) => draft.set((d) => ({ ...d, scale: s }))} />
      <TextArea label={words.note} rows={2} value={c.note ?? ""} problem={errorAt(checked.problems, "note")} hint={words.noteHint} free maxLength={400}
        onChange={(note) => set({ note })} />
      {cautionsAt(checked.problems, "note").map((p) => <Note key={p.text}>{p.text}</Note>)}
      {tried && needs.length > 0 && <p class="field-problem" role="alert"><Icon name="stop" /> {words.need(needs.join(", "))}</p>}
      <LargeOnes list={large.of === JSON.stringify(body.facts) ? large.list : []} meant={meant} onChange={setMeant} />
      <ProblemList problems={failed} />
      {from && iMay("case") && (c.removed
        ? <Button kind="quiet" onClick={() => void save({ removed: false }, words.reasonPutBack, false)}>{words.putBack}</Button>
        : <Button kind="danger" onClick={() => void save({ removed: true }, words.reasonRemove, false)}>{words.remove}</Button>)}
    </Screen>
  );
}

/** A change with both its values: whoever changes the number again is asked again. */
function meaning(l: LargeChange): string {
  return `${l.path} ${l.from} ${l.to}`;
}

/** What was asked about, and the facts it was asked of: another number is another question. */
interface Asked {
  of: string;
  list: readonly LargeChange[];
}

interface LargeOnesProps {
  list: readonly LargeChange[];
  meant: readonly string[];
  onChange: (meant: string[]) => void;
}

/** The powers that changed so much that somebody must say it is meant, before the case is kept. */
function LargeOnes({ list, meant, onChange }: LargeOnesProps) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView({ block: "center" }), [list]);
  if (list.length === 0) return null;
  const edit = textCase.edit;
  return (
    <div ref={box} class="panel stack" role="alert">
      <Caution>{edit.needConfirm}</Caution>
      <MultiChoice legend={edit.confirm} value={[...meant]} onChange={onChange}
        options={list.map((l) => ({ value: meaning(l), label: unbroken(edit.confirmOne(l.label, l.from, l.to, l.factor)) }))} />
    </div>
  );
}

/** Makes the sheet that was asked for. What stops it is said on the sheet's own page, where it can be tried again. */
async function makeSheet(id: string): Promise<void> {
  const now = doc<Case>("case", id);
  if (!now) return;
  await sheetFromCase(now.body).then((sheet) => useSheet(id, sheet)).catch(() => undefined);
}

function withFact(c: Case, factor: string, value: string[]): Case {
  const { [factor]: _, ...rest } = c.facts ?? {};
  const [one] = value;
  return { ...c, facts: one === undefined ? rest : { ...rest, [factor]: value.length === 1 ? one : value } };
}

function missing(c: Case): string[] {
  const has = { list: c.list, position: c.position, eye: answersTo(c, "eye")[0], surgeon: c.surgeon, card: c.card };
  return (Object.keys(has) as (keyof typeof has)[]).filter((k) => !has[k]).map((k) => words.needs[k]);
}

/** A draft of an earlier visit, which can be thrown away in two taps. */
export function DraftNote({ draft }: { draft: Pick<Draft<unknown>, "drop"> }) {
  const [sure, setSure] = useState(false);
  const throwAway = () => {
    draft.drop();
    location.reload();
  };
  return (
    <div class="panel row-apart">
      <p>{sure ? textCase.draftSure : textCase.draftFound}</p>
      {sure
        ? <div class="row"><Button kind="danger" onClick={throwAway}>{textCase.draftDrop}</Button><Button onClick={() => setSure(false)}>{textCase.cancel}</Button></div>
        : <Button kind="quiet" onClick={() => setSure(true)}>{textCase.draftDrop}</Button>}
    </div>
  );
}

interface WhichProps {
  c: Case;
  body: Case;
  problems: readonly Problem[];
  /** Somebody wanted to keep the case: what is missing is said now. */
  tried: boolean;
  set: (change: Partial<Case>) => void;
  setFact: (factor: string, value: string[]) => void;
  /** null proposes the next free place again. */
  onPlace: (list: string, position: number | null) => void;
}

/** Which case it is: day and place, eye, surgeon, card. */
function Which({ c, body, problems, tried, set, setFact, onPlace }: WhichProps) {
  const eye = answersTo(c, "eye")[0] ?? null;
  const surgeons = docsOf<Person>("person").filter((p) => p.body.roles.includes("surgeon"));
  const cards = docsOf<Card>("card");
  const own = cards.filter((d) => d.body.owner === c.surgeon);
  const others = cards.filter((d) => d.body.owner !== c.surgeon);
  return (
    <section class="case-which" aria-labelledby="which">
      <h2 id="which">{words.which}</h2>
      <Place c={c} problem={errorAt(problems, "position")} onChange={onPlace} />
      <Choice big legend={words.eye} options={["right eye", "left eye"]} value={eye} problem={tried && !eye ? words.choose.eye : null}
        onChange={(v) => setFact("eye", [v])} />
      {surgeons.length === 0 ? <NoSurgeons />
        : <Choice legend={words.surgeon} options={surgeons.map((p) => ({ value: p.id, label: p.body.name }))} value={c.surgeon || null}
          problem={tried && !c.surgeon ? words.choose.surgeon : null} onChange={(surgeon) => set({ surgeon, ...(cardIsOf(c.card, surgeon) ? {} : { card: "" }) })} />}
      {!c.surgeon ? <p class="quiet">{words.card}: {words.cardFirstSurgeon}</p>
        : own.length > 0 ? <CardChoice legend={words.cardsOf(nameOf(c.surgeon))} cards={own} of={body} problem={tried && !c.card ? words.choose.card : null} onChange={(card) => set({ card })} />
          : <p>{words.noCards} <Button kind="quiet" href="/cards/new">{words.newCard}</Button></p>}
      {c.surgeon && others.length > 0 && (
        <details class="case-others" open={others.some((d) => d.id === c.card)}>
          <summary>{words.noneOfThese}</summary>
          <CardChoice legend={words.noneOfThese} cards={others} of={body} owners onChange={(card) => set({ card })} />
        </details>
      )}
    </section>
  );
}

/** A device that has read the unit's people knows that there is no surgeon; another one only has not read them. */
function NoSurgeons() {
  if (status.value.asOf === null) return <p>{words.noSurgeons}</p>;
  return <p>{text.noSurgeonsAdded} <Button kind="quiet" href="/office/people">{text.toPeople}</Button></p>;
}

function cardIsOf(card: string, surgeon: string): boolean {
  return doc<Card>("card", card)?.body.owner === surgeon;
}

/** Day and place, proposed and seldom changed: one line until somebody wants to. */
function Place({ c, problem, onChange }: { c: Case; problem: string | null; onChange: WhichProps["onPlace"] }) {
  const now = today();
  const next = today(new Date(Date.now() + 86_400_000));
  const [open, setOpen] = useState(false);
  const [other, setOther] = useState(c.list !== now && c.list !== next);
  if (!open && !problem) {
    return (
      <div class="row-apart">
        <p class="case-place">{words.placeLine(c.list === now ? words.today : c.list === next ? words.tomorrow : "", dayInWords(c.list), c.position)}</p>
        <Button kind="quiet" icon="edit" onClick={() => setOpen(true)}>{words.change}</Button>
      </div>
    );
  }
  return (
    <>
      <Choice legend={words.list} value={other ? "other" : c.list} hint={dayInWords(c.list)}
        options={[{ value: now, label: words.today }, { value: next, label: words.tomorrow }, { value: "other", label: words.otherDay }]}
        onChange={(v) => { setOther(v === "other"); if (v !== "other") onChange(v, null); }} />
      {other && <TextField label={words.otherDay} type="date" value={c.list} onChange={(v) => { if (v) onChange(v, null); }} />}
      <Stepper label={words.position} min="1" max="99" step="1" value={c.position > 0 ? String(c.position) : ""} problem={problem}
        onChange={(v) => onChange(c.list, Math.trunc(Number(v)))} />
    </>
  );
}

interface GroupsProps {
  c: Case;
  scale: Scale;
  problems: readonly Problem[];
  setFact: (factor: string, value: string[]) => void;
  setScale: (s: Scale) => void;
}

/** The facts, group by group. One group is open at a time; its head says what is still not answered. */
function Groups({ c, scale, problems, setFact, setScale }: GroupsProps) {
  const groups = askedGroups(c, scale);
  const [open, setOpen] = useState<string | null>(() => groups.find(([, fs]) => unanswered(c, fs) > 0)?.[0] ?? null);
  const places = useRef(new Map<string, HTMLElement>());
  const going = useRef(false);
  const show = (name: string) => {
    going.current = true;
    setOpen(name);
  };
  useEffect(() => {
    const place = going.current && open ? places.current.get(open) : undefined;
    going.current = false;
    place?.scrollIntoView({ block: "start" });
    place?.querySelector("button")?.focus({ preventScroll: true });
  }, [open]);
  return (
    <div class="case-groups">
      {groups.map(([name, list], i) => {
        const left = unanswered(c, list);
        const next = groups[i + 1]?.[0];
        return (
          <section key={name} class="case-group" ref={(el) => { if (el) places.current.set(name, el); }}>
            <h2>
              <button type="button" class="case-group-head" aria-expanded={open === name} onClick={() => setOpen(open === name ? null : name)}>
                <span>{name}</span>
                <span class="case-group-count">{left > 0 ? words.toAsk(left) : words.allAnswered}</span>
                <Icon name={open === name ? "up" : "down"} />
              </button>
            </h2>
            {open === name && (
              <div class="case-group-inside">
                {list.map((f) => (
                  <Fragment key={f.id}>
                    {firstOfScale(list, f) && <ScaleChoice scale={scale} onChange={setScale} />}
                    <FactorField factor={f} value={answersTo(c, f.id)} onChange={(v) => setFact(f.id, v)}
                      problem={errorAt(problems, `facts/${f.id}`)} cautions={cautionsAt(problems, `facts/${f.id}`)} />
                  </Fragment>
                ))}
                {next && <Button wide icon="down" onClick={() => show(next)}>{words.nextGroup(next)}</Button>}
              </div>
            )}
          </section>
        );
      })}
    </div>
  );
}

function unanswered(c: Case, list: readonly Factor[]): number {
  return list.filter((f) => answersTo(c, f.id).length === 0).length;
}

/** The choice of scale stands before the first field that depends on it. */
function firstOfScale(list: readonly Factor[], f: Factor): boolean {
  return list.find((x) => x.id.startsWith("nucleus-"))?.id === f.id;
}

function ScaleChoice({ scale, onChange }: { scale: Scale; onChange: (s: Scale) => void }) {
  return (
    <Choice legend={words.scale} value={scale} onChange={(v) => onChange(v as Scale)}
      options={[{ value: "clinical", label: words.scaleClinical }, { value: "locs", label: words.scaleLocs }, { value: "both", label: words.scaleBoth }]} />
  );
}
