import { useEffect, useLayoutEffect, useMemo, useRef } from "preact/hooks";
import type { Card, Phase } from "../generated/types";
import { parameters } from "../generated/vocabulary";
import { Button, Dialog, Icon, Note, ProblemList, toast, TwoValues, unbroken, Value } from "../parts";
import { route } from "../router";
import { doc, keep, me, NotKept, status, type Doc } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { textChange as words } from "../text-change";
import { textProposals } from "../text-proposals";
import { changing, noteBefore, type Place } from "./changing";
import "./changevalue.css";
import { BigChanges } from "./edit/big";
import { tidied, useCardDraft, type CardDraft } from "./edit/carddraft";
import { useCheck } from "./edit/check";
import type { Draft } from "./edit/draft";
import { PhaseCautions } from "./edit/limits";
import { Meant, ReasonFields, useKeeping, type Step } from "./edit/keeping";
import { limitOf, proposedAt, withLimit } from "./edit/onelimit";
import { QuantityField } from "./edit/quantity";
import { sideText } from "./names";
import { stable } from "./newer";
import { nameOf } from "./people";
import { questionsAt } from "./question";

const close = () => { changing.value = null; };

/** Changes one limit where it stands: the panel that rises from below. Whatever is typed is the card's draft, the editor's own. */
export function ChangeValue() {
  const at = changing.value;
  const of = at && doc<Card>("card", at.card);
  useClosedByLeaving();
  if (!at) return null;
  if (me.value === null) return <Refused title={text.decideWho} says={textCase.edit.whoWhy} href="/person" go={textCase.edit.choosePerson} />;
  if (!of) return <Refused title={textCase.edit.missing} says={words.gone} />;
  return <Begun key={`${at.card}/${at.phase}/${at.limit}/${me.value}`} at={at} of={of} />;
}

function Refused({ title, says, href, go }: { title: string; says: string; href?: string; go?: string }) {
  return (
    <Dialog open below title={title} onClose={close} actions={href ? <Button kind="primary" big wide href={href}>{go}</Button> : <Button big wide onClick={close}>{words.close}</Button>}>
      <p>{says}</p>
    </Dialog>
  );
}

interface PanelProps {
  at: Place;
  of: Doc<Card>;
  draft: Draft<CardDraft>;
}

function Begun({ at, of }: Omit<PanelProps, "draft">) {
  const draft = useCardDraft(of);
  const { card, base, settles } = draft.value;
  const phase = card.phases?.find((p) => p.key === at.phase);
  const was = base ? limitOf(base, at.phase, at.limit) : undefined;
  if (!base || !phase || was === undefined) return <Refused title={of.body.title} says={words.gone} href={editor(at)} go={words.toEditor} />;
  // What else was begun is not kept from here, where nobody sees it.
  const alone = settles.length === 0 && stable(tidied(withLimit(card, at.phase, at.limit, was))) === stable(tidied(base));
  if (!alone) return <Refused title={of.body.title} says={words.others} href={editor(at)} go={words.toEditor} />;
  return <Panel at={at} of={of} draft={draft} base={base} phase={phase} was={was} />;
}

function editor({ card, phase, limit }: Place): string {
  return `/cards/${card}/edit?part=limits&phase=${encodeURIComponent(phase)}&limit=${limit}`;
}

/** A link in the panel leads to another screen, where the panel is in the way. */
function useClosedByLeaving(): void {
  const { path, query } = route.value;
  const at = `${path}?${query}`;
  const began = useRef(at);
  useEffect(() => { if (at !== began.current) close(); }, [at]);
}

interface OneProps extends PanelProps {
  base: Card;
  phase: Phase;
  was: string;
}

function Panel({ at, of, draft, base, phase, was }: OneProps) {
  const { card, from } = draft.value;
  const value = limitOf(card, at.phase, at.limit);
  const onCard = limitOf(of.body, at.phase, at.limit);
  const tidy = useMemo(() => tidied(card), [card]);
  const { problems } = useCheck("card", tidy);
  const path = `phases/${at.phase}/${at.limit}`; // what is wrong with the number itself stands at the number
  const owner = of.body.owner;
  const proposes = owner !== me.value;
  const save = async (reason: string) => {
    await keep({ kind: "card", doc: of.id, body: tidy, reason, ...(from && { from }) });
    draft.drop();
    if (proposes) toast(textProposals.keptAsProposal(nameOf(owner)));
    else said(at, onCard, step.changes ?? []);
    close();
  };
  const step = useKeeping({ card: tidy, base, isNew: false, settling: false, problems, reason: draft.value.reason ?? "", reasonNeeded: false, onKeep: save });
  useReasonInDraft(draft, step.reason);
  const parameter = parameters.find((p) => p.id === at.limit);
  useNumberFocused();
  useRoomAboveKeys();
  const leave = () => {
    if (value === was) draft.drop();
    else if (draft.unsafe) toast(words.lost, { stays: true });
    else toast(words.stays);
    close();
  };
  return (
    <Dialog open below title={words.title(phase.name, parameter?.label ?? at.limit)} onClose={leave} actions={<KeepIt step={step} value={value} was={was} proposes={proposes} />}>
      <div class="change stack">
        <Told at={at} of={of} draft={draft} proposes={proposes} unit={parameter?.unit} />
        <OldAndNew onCard={onCard} value={value} unit={parameter?.unit} />
        <BigChanges.Provider value={step.big ?? []}>
          <QuantityField id={at.limit} value={value} was={was} kind={phase.kind} path={path} problems={problems}
            onChange={(v) => draft.set((d) => ({ ...d, card: withLimit(d.card, at.phase, at.limit, v) }))} />
        </BigChanges.Provider>
        <ProblemList problems={step.problems.filter((p) => p.path !== path)} />
        <PhaseCautions problems={problems} path={`phases/${at.phase}`} />
        <Meant step={step} />
        <ReasonFields step={step} label={words.reason} />
      </div>
    </Dialog>
  );
}

function KeepIt({ step, value, was, proposes }: { step: Step; value: string | undefined; was: string; proposes: boolean }) {
  const missing = value === undefined ? words.empty : status.value.core !== "ready" ? words.working : step.missing;
  return (
    <div class="keeping-actions">
      <p class="keeping-missing" aria-live="polite">{missing}</p>
      <Button kind="primary" big wide busy={step.busy} disabled={!step.ready || value === undefined || value === was} onClick={() => void step.keep()}>{proposes ? words.propose : words.keep}</Button>
    </div>
  );
}

/** What the card says now, which may be another value than the one that the change was begun from. */
function OldAndNew({ onCard, value, unit }: { onCard: string | undefined; value: string | undefined; unit: string | undefined }) {
  const shown = (v: string | undefined) => (v === undefined ? "–" : <Value value={v} unit={unit} />);
  return (
    <dl class="change-values">
      <div><dt>{words.onCard}</dt><dd>{shown(onCard)}</dd></div>
      <Icon name="forward" />
      <div><dt>{words.becomes}</dt><dd>{shown(value)}</dd></div>
    </dl>
  );
}

/** The reason is part of what was typed: it stays with the value where the panel is closed before it is kept. */
function useReasonInDraft(draft: Draft<CardDraft>, reason: string): void {
  // Before the next touch, which may close the panel.
  useLayoutEffect(() => {
    if (reason !== (draft.value.reason ?? "")) draft.set((d) => ({ ...d, reason }));
  }, [reason]);
}

/** What has to be known before the value is changed. */
function Told({ at, of, draft, proposes, unit }: PanelProps & { proposes: boolean; unit: string | undefined }) {
  const { from } = draft.value;
  const owner = nameOf(of.body.owner);
  const moved = from && (of.rev !== from.rev || of.after !== from.after);
  const asked = questionsAt(of, `phases/${at.phase}`);
  const shown = (value: string | undefined) => (value === undefined ? words.proposedAway : [value, unit].filter(Boolean).join("\u00a0"));
  return (
    <>
      {draft.unsafe && <Note>{textCase.draftUnsafe}</Note>}
      {proposes && <Note>{textProposals.notYours(owner)}</Note>}
      {moved && <Note>{textCase.edit.moved(of.rev)}</Note>}
      {asked.map((q) => (
        <div key={q.id} class="stack-close">
          <Note>{words.inQuestion}</Note>
          <TwoValues label={q.label} sides={[{ text: sideText(q.head_text), by: nameOf(q.head_by) }, { text: sideText(q.mine_text), by: nameOf(q.mine_by) }]} />
        </div>
      ))}
      {proposedAt(of.proposals ?? [], at.phase, at.limit).map(({ of: p, value }) => (
        <Note key={p.id} why={<Button href={`/proposals?card=${of.id}`}>{words.toProposals}</Button>}>
          {p.by === me.value ? words.youProposed(shown(value), owner) : words.proposed(nameOf(p.by), shown(value))}
        </Note>
      ))}
    </>
  );
}

/** The value was kept: what it was stays beside it, and for a moment it can be taken back. */
function said(at: Place, was: string | undefined, changes: readonly string[]): void {
  const kept = onCardNow(at)?.value; // as the card writes it, not as it was typed
  const what = words.kept(unbroken(changes.join(". ")));
  if (was === undefined || kept === undefined || kept === was) return toast(what); // others wrote there meanwhile, and the owner is asked
  noteBefore(at, was, kept);
  const by = me.peek();
  toast(what, { undo: () => void takeBack(at, was, kept, by) });
}

/** The limit as the card says it; nothing while two people's values stand there. */
function onCardNow({ card, phase, limit }: Place): { of: Doc<Card>; value: string | undefined } | null {
  const of = doc<Card>("card", card);
  return !of || questionsAt(of, `phases/${phase}`).length > 0 ? null : { of, value: limitOf(of.body, phase, limit) };
}

/** by: who kept what is taken back. */
async function takeBack(at: Place, was: string, kept: string, by: string | null): Promise<void> {
  if (me.peek() !== by) return toast(words.undoneOther, { stays: true });
  const now = onCardNow(at);
  if (now?.value !== kept) return toast(words.undoneNot, { stays: true });
  try {
    await keep({ kind: "card", doc: at.card, body: withLimit(now.of.body, at.phase, at.limit, was), reason: words.undone, from: now.of });
    const unit = parameters.find((p) => p.id === at.limit)?.unit;
    toast(words.undoneKept([was, unit].filter(Boolean).join("\u00a0")));
  } catch (e) {
    toast(e instanceof NotKept ? e.message : text.notKept, { stays: true });
  }
}

/** The number is under the keys as soon as the panel is there, and typing replaces it. */
function useNumberFocused(): void {
  useLayoutEffect(() => {
    const input = document.querySelector<HTMLInputElement>(".change .number-input");
    input?.focus();
    input?.select();
  }, []);
}

/** Says how much of the screen's foot the keys cover, so that the panel stands above them. */
function useRoomAboveKeys(): void {
  useEffect(() => {
    const seen = window.visualViewport;
    if (!seen) return;
    const root = document.documentElement.style;
    const tell = () => root.setProperty("--keys", `${seen.scale === 1 ? Math.max(0, Math.round(innerHeight - seen.height - seen.offsetTop)) : 0}px`);
    tell();
    seen.addEventListener("resize", tell);
    seen.addEventListener("scroll", tell);
    return () => {
      seen.removeEventListener("resize", tell);
      seen.removeEventListener("scroll", tell);
      root.setProperty("--keys", "0px");
    };
  }, []);
}
