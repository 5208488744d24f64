import { useEffect, useRef, useState } from "preact/hooks";
import { AgeOfData, Button, Caution, EmptyState, Icon, Note, ProblemList, Screen, Stop, Tag, Time, toast, today } from "../parts";
import { answers, dismissAnswer, dismissLost, doc, lost, NotKept, sawAnswers, status, sync, takeIn, waiting, waitingFile, type Answer, type DocKind, type LostOfOthers, type Waiting as Edit } from "../state";
import { text } from "../text";
import { textProposals } from "../text-proposals";
import { sentence, unbroken } from "./names";
import { nameOf } from "./people";
import "./waiting.css";

/** What was kept on this device and is not on the server; what the server answered; how this device fares. */
export function Waiting() {
  const list = waiting.value;
  useSeen();
  return (
    <Screen title={text.waitingTitle}>
      {answers.value.length > 0 && (
        <section class="stack" aria-labelledby="answers">
          <h2 id="answers">{text.answersHead}</h2>
          <p class="quiet">{text.answersLead}</p>
          <ul role="list" class="stack">{answers.value.map((a) => <li key={a.id}><AnswerPart answer={a} /></li>)}</ul>
        </section>
      )}
      {lost.value.length > 0 && (
        <section class="stack" aria-labelledby="lost">
          <h2 id="lost">{text.lostHead}</h2>
          <Caution>{text.lostLead}</Caution>
          <ul role="list" class="stack">{lost.value.map((l) => <li key={l.key}><LostPart of={l} /></li>)}</ul>
        </section>
      )}
      {list.length === 0
        ? <EmptyState title={text.nothingWaits} help="no-network"><p>{text.nothingWaitsWhy}</p></EmptyState>
        : <div class="stack"><p class="quiet">{text.waitingLead}</p><div><SendNow /></div></div>}
      <ol role="list" class="stack">{list.map((e) => <li key={e.id}><EditPart edit={e} /></li>)}</ol>
      {list.length > 0 && <SaveFile />}
      <TakeFile />
      <p><Button href="/waiting/set-aside" icon="eye">{text.setAsideOpen}</Button> <span class="quiet">{text.setAsideOpenWhy}</span></p>
      <DeviceState />
    </Screen>
  );
}

/** What is on the screen was seen, as long as the page itself is. */
function useSeen(): void {
  useEffect(() => {
    const see = () => {
      if (document.visibilityState === "visible") sawAnswers().catch(() => undefined); // not noted, it is only told again
    };
    see();
    document.addEventListener("visibilitychange", see);
    return () => document.removeEventListener("visibilitychange", see);
  }, [answers.value]);
}

/** What a document is called: the card's title, the case's place, the person's name. */
export function titleOf(kind: DocKind, id: string, body = doc(kind, id)?.body): string {
  const name = kind === "card" ? body?.title : kind === "case" ? body && text.caseLine(body.position) : kind === "person" ? body?.name : kind === "record" ? sentence(body?.pause ?? body?.title ?? "") : "";
  return [text.kinds[kind], name].filter(Boolean).join(": ");
}

function path(kind: DocKind, id: string): string | null {
  if (kind === "record") return `/records/${doc(kind, id)?.body.case ?? ""}`;
  if (kind === "card") return `/cards/${id}`;
  if (kind === "rules") return "/rules";
  return kind === "case" ? `/case/${id}` : null;
}

function EditPart({ edit: e }: { edit: Edit }) {
  const to = path(e.kind, e.doc);
  const of = doc(e.kind, e.doc);
  const proposed = of?.proposals?.some((p) => p.id === e.id);
  return (
    <article class="panel waiting-edit">
      <h2>{to ? <a href={to}>{titleOf(e.kind, e.doc)}</a> : titleOf(e.kind, e.doc)}</h2>
      {proposed && <div><Tag icon="person">{textProposals.toOwner(nameOf(of?.body.owner))}</Tag></div>}
      <ul class="waiting-changes">{e.changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>
      <p>{nameOf(e.author)}: {e.reason || text.noReason}</p>
      <p class="quiet">
        {text.sinceHead} <Time at={e.made} /> · {text.tries(e.tries)}
        {e.lastTry && <>, {text.lastTried} <Time at={e.lastTry} /></>}
      </p>
      {e.lastError && <p><Icon name="caution" /> {e.lastError}</p>}
    </article>
  );
}

const outcomes: Record<string, string> = {
  merged: text.answerMerged,
  question: text.answerQuestion,
  "set aside": text.answerSetAside,
  proposal: textProposals.receipt,
  applied: textProposals.receiptApplied,
  answered: textProposals.receiptAnswered,
};

const isNote = (outcome: string) => !["question", "set aside"].includes(outcome);

function AnswerPart({ answer: a }: { answer: Answer }) {
  const to = path(a.kind, a.doc);
  const words = outcomes[a.outcome] ?? text.answerOther(a.outcome);
  return (
    <article class="panel waiting-edit">
      <h3>{titleOf(a.kind, a.doc)}</h3>
      {isNote(a.outcome) ? <Note>{words}</Note> : a.outcome === "question" ? <Caution word={text.questionHead}>{words}</Caution> : <Stop word={text.setAside}>{words}</Stop>}
      {a.reason && <p>{a.reason}</p>}
      {a.problems.length > 0 && <ul class="waiting-changes">{a.problems.map((p) => <li key={p.text}>{p.text}</li>)}</ul>}
      <div class="row-apart">
        <span class="quiet"><Time at={a.at} /></span>
        <span class="row">
          {to && <Button href={to}>{text.lookThere}</Button>}
          <Button icon="tick" onClick={() => void dismissAnswer(a.id)}>{text.dismiss}</Button>
        </span>
      </div>
    </article>
  );
}

function SendNow() {
  const [busy, setBusy] = useState(false);
  const send = async () => {
    setBusy(true);
    await sync().catch(() => undefined); // what went wrong stands beside each edit
    setBusy(false);
    toast(waiting.peek().length === 0 ? text.sendDone : text.sendNotYet);
  };
  return <Button kind="primary" icon="waiting" busy={busy} onClick={() => void send()}>{busy ? text.sending : text.sendNow}</Button>;
}

/** The edits exactly as they would be sent, so that nothing is lost with the device. */
function SaveFile() {
  const save = () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([waitingFile()], { type: "application/json" }));
    link.download = text.fileName(today());
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  };
  return (
    <div class="stack-close">
      <div><Button icon="save" onClick={save}>{text.saveFile}</Button></div>
      <p class="quiet">{text.saveFileWhy}</p>
    </div>
  );
}

/** Takes in what another device saved. */
function TakeFile() {
  const input = useRef<HTMLInputElement>(null);
  const [busy, setBusy] = useState(false);
  const [wrong, setWrong] = useState<string | null>(null);
  const take = async (file: File) => {
    setBusy(true);
    setWrong(null);
    try {
      const { fresh } = await takeIn(await file.text());
      toast(fresh > 0 ? text.tookFile(fresh) : text.tookNothing);
    } catch (e) {
      setWrong(e instanceof NotKept ? e.message : text.tookNotRead);
    }
    setBusy(false);
  };
  const chosen = () => {
    const file = input.current?.files?.[0];
    if (file) void take(file).then(() => { if (input.current) input.current.value = ""; });
  };
  return (
    <div class="stack-close">
      <div><Button icon="plus" busy={busy} onClick={() => input.current?.click()}>{text.takeFile}</Button></div>
      <input ref={input} type="file" accept="application/json,.json" hidden onChange={chosen} />
      <p class="quiet">{text.takeFileWhy}</p>
      <ProblemList title={text.tookNotTitle} problems={wrong ? [{ text: wrong }] : []} />
    </div>
  );
}

function LostEdit({ what, of }: { what: string; of: { at: string; reason: string; changes: string[] } }) {
  return (
    <div>
      <p>{what}, <Time at={of.at} />: {of.reason || text.noReason}</p>
      <ul class="waiting-changes">{of.changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>
    </div>
  );
}

function LostPart({ of: l }: { of: LostOfOthers }) {
  const to = doc(l.kind, l.doc) ? path(l.kind, l.doc) : null;
  return (
    <article class="panel waiting-edit">
      <h3>{titleOf(l.kind, l.doc, l.body)}</h3>
      {l.revisions.map((r) => <LostEdit key={r.edit} what={text.lostRevision(r.rev, nameOf(r.by))} of={r} />)}
      {l.proposals.map((p) => <LostEdit key={p.id} what={text.lostProposal(nameOf(p.by))} of={p} />)}
      <details>
        <summary>{text.lostBody}</summary>
        <pre class="waiting-body">{JSON.stringify(l.body, null, 1)}</pre>
      </details>
      <div class="row">
        {to && <Button href={to}>{text.lookThere}</Button>}
        <Button icon="tick" onClick={() => void dismissLost(l.key)}>{text.dismiss}</Button>
      </div>
    </article>
  );
}

function DeviceState() {
  const servers = { reached: text.stateReached, "not reached": text.stateNotReached, "not tried": text.stateNotTried };
  const s = status.value;
  const persist = s.persisted === null ? text.persistUnknown : s.persisted ? text.persistYes : text.persistNo;
  return (
    <section class="stack-close" aria-labelledby="device">
      <h2 id="device">{text.stateHead}</h2>
      <dl class="facts">
        <dt>{text.stateServer}</dt><dd>{servers[s.server]}{s.readonly && <> <Tag kind="caution">{text.readonlyShort}</Tag></>}</dd>
        <dt>{text.stateAsOf}</dt><dd><AgeOfData at={s.asOf} /></dd>
        <dt>{text.stateStore}</dt><dd>{s.storage === "ok" ? text.stateStoreOk : s.storageText ?? text.stateStoreBlocked}</dd>
        <dt>{text.statePersist}</dt><dd>{persist}</dd>
        <dt>{text.stateCore}</dt><dd>{text.coreStates[s.core]}</dd>
      </dl>
    </section>
  );
}
