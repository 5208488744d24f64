import type { ComponentType } from "preact";
import { useState } from "preact/hooks";
import type { Card } from "../generated/types";
import { Button, EmptyState, Icon, Note, Screen, Stop, toast, TwoValues } from "../parts";
import { go, route } from "../router";
import { doc, iMay, keep, me, type Doc, type OpenQuestion, type Problem, type ShownProposal } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { textProposals } from "../text-proposals";
import { DraftNote } from "./case";
import { BasicsPart, HeaderPart, MachinePart, NotesPart } from "./edit/basics";
import { BigChanges, useBigChanges } from "./edit/big";
import { cardDraftKey, tidied, useCardDraft, type CardDraft } from "./edit/carddraft";
import { isAt, useCheck } from "./edit/check";
import { opened, useDraft, type Draft } from "./edit/draft";
import { DrugsPart } from "./edit/drugs";
import { ItemsPart } from "./edit/items";
import { Keeping } from "./edit/keeping";
import { LimitsPart } from "./edit/limits";
import { NewCard } from "./edit/newcard";
import type { PartProps } from "./edit/parts";
import { StepsPart, TriggersPart } from "./edit/steps";
import { FitPart, VariantsPart } from "./edit/variants";
import "./editcard.css";
import { sideText, unbroken } from "./names";
import { stable } from "./newer";
import { Offer } from "./offer";
import { nameOf } from "./people";
import { Working } from "./proposalanswer";
import { useJoined, type Joined } from "./proposaljoin";
import { withNames } from "./withnames";

const words = textCase.edit;

type Part = keyof typeof words.sections;

const parts: Record<Part, { View: ComponentType<PartProps>; paths: readonly string[]; count?: (c: Card) => number }> = {
  limits: { View: LimitsPart, paths: ["phases"], count: (c) => c.phases?.length ?? 0 },
  items: { View: ItemsPart, paths: ["items"], count: (c) => c.items?.length ?? 0 },
  drugs: { View: DrugsPart, paths: ["drugs"], count: (c) => c.drugs?.length ?? 0 },
  steps: { View: StepsPart, paths: ["steps"], count: (c) => c.steps?.length ?? 0 },
  triggers: { View: TriggersPart, paths: ["triggers"], count: (c) => c.triggers?.length ?? 0 },
  variants: { View: VariantsPart, paths: ["variants"], count: (c) => c.variants?.length ?? 0 },
  fit: { View: FitPart, paths: ["fit"], count: (c) => c.fit?.length ?? 0 },
  notes: { View: NotesPart, paths: ["notes"] },
  basics: { View: BasicsPart, paths: ["basics"] },
  machine: { View: MachinePart, paths: ["machine"] },
  card: { View: HeaderPart, paths: ["title", "technique", "technique_name", "owner", "review", "id", "extra"] },
};

/** Changing a card, or writing a new one. */
export function EditCard() {
  const [, id = "new"] = route.value.parts;
  if (me.value === null) return <WhoFirst id={id} />;
  if (!iMay("card", id === "new" ? me.value : doc<Card>("card", id)?.body.owner)) return <NotForThem id={id} />;
  if (id === "new") return <NewEditor />;
  const of = doc<Card>("card", id);
  if (!of) {
    return (
      <Screen title={words.title} back={{ href: "/cards", label: text.cardsTitle }}>
        <EmptyState title={words.missing} action={<Button href="/cards">{words.backCards}</Button>} />
      </Screen>
    );
  }
  const proposal = route.value.query.get("proposal");
  if (proposal) return <ProposalEditor key={`${id} ${me.value} ${proposal}`} of={of} id={proposal} />;
  return <OldEditor key={`${id} ${me.value}`} of={of} />;
}

function WhoFirst({ id }: { id: string }) {
  const back = id === "new" ? { href: "/cards", label: text.cardsTitle } : { href: `/cards/${id}`, label: words.theCard };
  return (
    <Screen title={words.title} back={back}>
      <EmptyState title={words.who} action={<Button kind="primary" big href="/person">{words.choosePerson}</Button>}><p>{words.whoWhy}</p></EmptyState>
    </Screen>
  );
}

function NotForThem({ id }: { id: string }) {
  const back = id === "new" ? { href: "/cards", label: text.cardsTitle } : { href: `/cards/${id}`, label: words.theCard };
  return (
    <Screen title={words.title} back={back}>
      <Offer kind="card" owner={id === "new" ? me.value ?? undefined : doc<Card>("card", id)?.body.owner} />
    </Screen>
  );
}

function OldEditor({ of }: { of: Doc<Card> }) {
  return <Editor draft={useCardDraft(of)} />;
}

/** A proposal in the editor: the owner writes the card with it, its author writes it anew. */
function ProposalEditor({ of, id }: { of: Doc<Card>; id: string }) {
  const p = of.proposals?.find((x) => x.id === id);
  const owner = of.body.owner === me.value;
  if (p && owner) return <AnsweringEditor of={of} p={p} />;
  if (p && p.by === me.value) return <OwnProposalEditor of={of} p={p} />;
  return (
    <Screen title={words.title} back={{ href: `/proposals?card=${of.id}`, label: textProposals.title }}>
      <EmptyState title={textProposals.gone} action={<Button href={`/proposals?card=${of.id}`}>{textProposals.title}</Button>} />
    </Screen>
  );
}

function AnsweringEditor({ of, p }: { of: Doc<Card>; p: ShownProposal }) {
  const joined = useJoined(of, p);
  if (!joined) return <Screen title={of.body.title}><Working /></Screen>;
  return <JoinedEditor of={of} p={p} joined={joined} />;
}

function JoinedEditor({ of, p, joined }: { of: Doc<Card>; p: ShownProposal; joined: Joined }) {
  // Both sides of what the merge asks are shown; the body holds the card's until something else is written.
  const asked = joined.questions.map((q) => ({ ...q, id: `${p.id}/${q.unit}`, edit: p.id, at: "", head_by: of.body.owner, mine_by: p.by, foreseen: true }));
  const draft = useDraft<CardDraft>(cardDraftKey(of.id, p.id), () => ({
    card: joined.body, base: of.body, from: { ...opened(of), questions: [...of.questions, ...asked] }, copiedFrom: null, settles: [], takes: [p.id],
  }));
  return <Editor draft={draft} note={textProposals.answering(nameOf(p.by))} />;
}

function OwnProposalEditor({ of, p }: { of: Doc<Card>; p: ShownProposal }) {
  const draft = useDraft<CardDraft>(cardDraftKey(of.id, p.id), () => ({
    card: p.body, base: p.base, from: { ...opened(of), rev: p.parent, body: p.base, questions: [], after: p.id }, copiedFrom: null, settles: p.decides ?? [],
  }));
  return <Editor draft={draft} note={textProposals.changingOwn} still />;
}

function NewEditor() {
  const draft = useDraft<CardDraft | null>(cardDraftKey("new"), () => null);
  const { value } = draft;
  if (!value) return <NewCard onStart={(card, copied) => draft.set(() => ({ card, base: copied, from: null, copiedFrom: copied?.title ?? null, settles: [] }))} />;
  return <Editor draft={{ ...draft, value, set: (next) => draft.set((old) => next(old ?? value)) }} />;
}

interface EditorProps {
  draft: Draft<CardDraft>;
  /** What this is about, when it is more than changing the card. */
  note?: string;
  /** It goes on from what it was made from, whatever the card is now. */
  still?: boolean;
}

function Editor({ draft, note, still }: EditorProps) {
  const { card, base, from, copiedFrom, settles, takes } = draft.value;
  const tidy = tidied(card);
  const { problems, view } = useCheck("card", tidy);
  const big = useBigChanges("card", base, tidy) ?? [];
  const [open, setOpen] = useState<Part | null>(() => firstPart(from === null && copiedFrom === null));
  const [keeping, setKeeping] = useState(false);
  const set = (change: Partial<Card>) => draft.set((d) => ({ ...d, card: { ...d.card, ...change } }));
  const now = from ? doc<Card>("card", card.id) : undefined;
  const owner = now?.body.owner ?? from?.body.owner;
  const proposes = owner !== undefined && owner !== me.value;
  const others = proposes ? [] : (now?.proposals ?? []).filter((p) => !p.answered && !takes?.includes(p.id));
  const notOwn = from === null && card.owner !== me.value;
  const moved = !still && now && from && (now.rev !== from.rev || now.after !== from.after);
  const save = async (reason: string) => {
    await keep({ kind: "card", doc: card.id, body: tidy, reason, ...(from && { from }), ...(settles.length > 0 && { decides: settles }), ...(takes && { takes }) });
    draft.drop();
    toast(proposes ? textProposals.keptAsProposal(nameOf(owner)) : textCase.kept);
    go(`/cards/${card.id}`);
  };
  const changed = from === null || settles.length > 0 || takes !== undefined || stable(tidy) !== stable(base);
  return (
    <Screen title={from ? card.title || words.title : words.titleNew} back={from ? { href: `/cards/${card.id}`, label: words.theCard } : { href: "/cards", label: text.cardsTitle }}
      foot={<Button kind="primary" wide disabled={!changed || notOwn} onClick={() => setKeeping(true)}>{changed ? words.look : words.nothing}</Button>}>
      {draft.found && changed && <DraftNote draft={draft} />}
      {draft.unsafe && <Note>{textCase.draftUnsafe}</Note>}
      {copiedFrom && <Note>{words.copiedLead(copiedFrom)}</Note>}
      <ProposalsHere list={others} card={card.id} />
      {proposes && <Note>{textProposals.notYours(nameOf(owner))}</Note>}
      {note && <Note>{note}</Note>}
      {notOwn && <Stop>{textProposals.newInOwnName}</Stop>}
      {moved && <Note>{words.moved(now.rev)}</Note>}
      {from && from.questions.length > 0 && (
        <Questions list={from.questions} settles={settles} onChange={(s) => draft.set((d) => ({ ...d, settles: s }))} />
      )}
      <BigChanges.Provider value={big}><div class="editparts">
        {(Object.keys(parts) as Part[]).map((p) => (
          <Section key={p} part={p} card={card} problems={problems} open={open === p} onToggle={() => setOpen(open === p ? null : p)}>
            <PartBody part={p} props={{ card, base, set, problems, view }} />
          </Section>
        ))}
      </div></BigChanges.Provider>
      {keeping && <Keeping card={tidy} base={base} reason={draft.value.reason ?? ""} copiedFrom={copiedFrom} isNew={from === null} settling={settles.length > 0 || takes !== undefined}
        note={proposes ? textProposals.notYours(nameOf(owner)) : <ProposalsHere list={others} />} problems={problems} onKeep={save} onClose={() => setKeeping(false)} />}
    </Screen>
  );
}

/** Proposals for the owner, who changes the card meanwhile: what they would change, and the way to answer them. */
function ProposalsHere({ list, card }: { list: readonly ShownProposal[]; card?: string }) {
  if (list.length === 0) return null;
  return (
    <div class="panel stack-close">
      <p><Icon name="question" /> {textProposals.waitsHere(list.length)}</p>
      <ul>{list.map((p) => <li key={p.id}>{textProposals.waitsOne(nameOf(p.by), p.changes.map(unbroken).join("; ") || textProposals.noChanges)}</li>)}</ul>
      {card && <div><Button href={`/proposals?card=${card}`}>{textProposals.open}</Button></div>}
    </div>
  );
}

function firstPart(empty: boolean): Part {
  const asked = route.peek().query.get("part");
  if (asked && asked in parts) return asked as Part;
  return empty ? "card" : "limits";
}

function PartBody({ part, props }: { part: Part; props: PartProps }) {
  const { View } = parts[part];
  return <View {...props} />;
}

interface SectionProps {
  part: Part;
  card: Card;
  problems: readonly Problem[];
  open: boolean;
  onToggle: () => void;
  children: preact.ComponentChildren;
}

function Section({ part, card, problems, open, onToggle, children }: SectionProps) {
  const { count, paths } = parts[part];
  const here = problems.filter((p) => paths.some((path) => isAt(p.path, path)));
  const errors = here.filter((p) => p.level === "error").length;
  const cautions = here.length - errors;
  const said = [count && words.count(count(card)), errors > 0 && words.toMend(errors), cautions > 0 && words.cautions(cautions)].filter(Boolean).join(" · ");
  return (
    <section class="editpart">
      <h2>
        <button type="button" class="editpart-head" aria-expanded={open} onClick={onToggle}>
          <span>{words.sections[part]}</span>
          <span class={errors > 0 ? "editpart-said editpart-wrong" : "editpart-said"}>{errors > 0 && <Icon name="stop" />} {said}</span>
          <Icon name={open ? "up" : "down"} />
        </button>
      </h2>
      {open && <div class="editpart-inside">{children}</div>}
    </section>
  );
}

/** Both sides of every open question; an edit may settle them by what it writes there. */
function Questions({ list, settles, onChange }: { list: readonly OpenQuestion[]; settles: readonly string[]; onChange: (ids: string[]) => void }) {
  return (
    <section class="panel stack" aria-labelledby="open-questions">
      <h2 id="open-questions">{words.questions}</h2>
      <p>{words.questionsLead}</p>
      {list.map((q) => withNames(q, nameOf)).map((q) => (
        <div key={q.id} class="stack-close">
          <h3>{q.label}</h3>
          <TwoValues label={q.label} sides={[{ text: sideText(q.head_text), by: nameOf(q.head_by) }, { text: sideText(q.mine_text), by: nameOf(q.mine_by) }]} />
          {!q.foreseen && (
            <div><Button pressed={settles.includes(q.id)} {...(settles.includes(q.id) && { icon: "tick" as const })}
              onClick={() => onChange(settles.includes(q.id) ? settles.filter((x) => x !== q.id) : [...settles, q.id])}>{words.settles}</Button></div>
          )}
        </div>
      ))}
    </section>
  );
}
