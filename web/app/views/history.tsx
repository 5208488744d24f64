import { useEffect, useState } from "preact/hooks";
import type { Card, View } from "../generated/types";
import { Button, Caution, Screen, Tag, Time, toast } from "../parts";
import { go, route } from "../router";
import { diff, doc, iMay, keep, me, NotKept, revision, type Doc, type Revision } from "../state";
import { text } from "../text";
import { textCompare } from "../text-compare";
import { textProposals } from "../text-proposals";
import { CardBody } from "./cardbody";
import { NoCard } from "./card";
import "./history.css";
import { unbroken } from "./names";
import { Offer } from "./offer";
import { nameOf } from "./people";

/** Every revision of a card, newest first; or one of them as it was. */
export function History() {
  const of = doc<Card>("card", route.value.parts[1] ?? "");
  if (!of) return <NoCard />;
  const wanted = Number(route.value.query.get("revision"));
  const found = of.history.find((h) => h.rev === wanted);
  return found ? <OldRevision key={found.rev} of={of} entry={found} /> : <Revisions of={of} />;
}

function Revisions({ of }: { of: Doc<Card> }) {
  return (
    <Screen title={text.historyTitle} back={{ href: `/cards/${of.id}`, label: of.body.title }}>
      <p class="quiet">{text.historyOf(of.body.title)} {text.historyNames}</p>
      {of.waiting > 0 && <p><Tag kind="accent" icon="waiting">{text.editsWaiting(of.waiting)}</Tag> {text.waitingFirst}</p>}
      {of.history.length === 0 && <p>{text.historyNone}</p>}
      <div><Button icon="branch" href={`/cards/${of.id}/compare`}>{text.compare}</Button></div>
      <ol role="list" class="stack" reversed>
        {[...of.history].reverse().map((h) => <li key={h.rev}><RevisionCard of={of} entry={h} at={`/cards/${of.id}/history`} /></li>)}
      </ol>
    </Screen>
  );
}

/** One revision: who, when, why, what. `at` is the address of the history. */
export function RevisionCard({ of, entry: h, at }: { of: Doc; entry: Revision; at: string }) {
  return (
    <article class="panel revision" aria-labelledby={`revision-${h.rev}`}>
      <div class="row-apart">
        <h2 id={`revision-${h.rev}`}>{text.revisionHead(h.rev)}</h2>
        {h.rev === of.rev && <Tag kind="accent">{text.revisionNow}</Tag>}
        {text.outcomes[h.outcome] && <Tag icon="branch">{text.outcomes[h.outcome]}</Tag>}
      </div>
      <p><strong>{nameOf(h.by)}</strong>: {h.reason || text.noReason}</p>
      <ul class="revision-changes">
        {whatChanged(of, h).map((c) => <li key={c}>{unbroken(c)}</li>)}
      </ul>
      <p class="quiet">{text.onServer} <Time at={h.at} /> · {text.deviceClock} <Time at={h.made} />{h.checked && text.checkedBy[h.checked] && <> · {text.checkedBy[h.checked]}</>}</p>
      {h.rev !== of.rev && (
        <div class="row">
          <Button icon="eye" href={`${at}?revision=${h.rev}`}>{text.lookAt}</Button>
          {of.kind === "card" && <Button icon="branch" href={`/cards/${of.id}/compare/${of.id}?here=${h.rev}`} label={textCompare.withNow(h.rev)}>{textCompare.toNow}</Button>}
        </div>
      )}
    </article>
  );
}

/** What the revision changed and what it left open. An edit whose whole content became a question changed no value, and did not do nothing. */
function whatChanged(of: Doc, h: Revision): string[] {
  const asked = of.questions.filter((q) => q.edit === h.edit).map((q) => text.toQuestion(q.label));
  if (h.changes.length + asked.length > 0) return [...h.changes, ...asked];
  if (h.outcome === "question") return []; // decided since: the outcome stands beside the number
  return [h.rev === 1 ? text.firstRevision : text.noChanges];
}

type Read = { body: Card; view?: View } | { error: string } | null;

function OldRevision({ of, entry }: { of: Doc<Card>; entry: Revision }) {
  const [read, setRead] = useState<Read>(null);
  useEffect(() => {
    let here = true;
    revision("card", of.id, entry.rev).then(
      (r) => { if (here) setRead(r); },
      (e: unknown) => { if (here) setRead({ error: e instanceof NotKept ? e.message : text.revisionAway }); },
    );
    return () => { here = false; };
  }, [of.id, entry.rev]);
  const old = read && "body" in read ? read : null;
  // Whose card it is stays: that is handed over in the editor, with the new owner's name in sight.
  const again = old && { ...old.body, owner: of.body.owner };
  return (
    <Screen title={`${text.revisionHead(entry.rev)}: ${of.body.title}`} back={{ href: `/cards/${of.id}/history`, label: text.historyTitle }}
      wide foot={again && <BringBack of={of} body={again} rev={entry.rev} to={`/cards/${of.id}`} />}>
      <Caution>{text.oldRevision(entry.rev, of.rev)}</Caution>
      <p class="quiet">{nameOf(entry.by)}, <Time at={entry.at} />: {entry.reason || text.noReason}</p>
      {read && "error" in read && <p>{read.error}</p>}
      {again && <Comparison of={of} body={again} />}
      {old && <CardBody of={frozen(of, old.body, entry.rev, old.view)} />}
    </Screen>
  );
}

/** What bringing it back would change, the present value first. Nothing until the core has said it. */
function Comparison({ of, body }: { of: Doc<Card>; body: Card }) {
  const [changes, setChanges] = useState<string[] | null>(null);
  useEffect(() => {
    let here = true;
    diff("card", of.body, body).then((c) => { if (here) setChanges(c); }, () => undefined); // bringing back says why
    return () => { here = false; };
  }, [of.body, body]);
  if (!changes) return null;
  return (
    <section class="panel stack-close" aria-labelledby="differences">
      <h2 id="differences">{text.bringBackChanges}</h2>
      {changes.length === 0 ? <p>{text.bringBackSame}</p> : <ul class="revision-changes">{changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>}
    </section>
  );
}

/** An old revision as a document of its own, without what belongs to the present one. */
function frozen(of: Doc<Card>, body: Card, rev: number, view: View | undefined): Doc<Card> {
  return { ...of, body, rev, questions: [], waiting: 0, ...(view && { view }) };
}

/** Takes an old revision as a new one. `to` is where it can be looked at. */
export function BringBack<B>({ of, body, rev, to }: { of: Doc<B>; body: B; rev: number; to: string }) {
  const [busy, setBusy] = useState(false);
  const bring = async () => {
    setBusy(true);
    try {
      await keep({ kind: of.kind, doc: of.id, body, reason: text.broughtBack(rev), from: of });
      toast(`${text.broughtBack(rev)}. ${text.keptHere}`);
      go(to);
    } catch (e) {
      toast(e instanceof NotKept ? [e.message, ...e.problems.map((p) => p.text)].join(" ") : text.notKept, { stays: true });
      setBusy(false);
    }
  };
  if (!me.value) return <Button href="/person">{text.decideWho}</Button>;
  const owner = of.kind === "card" ? (of.body as Card).owner : undefined;
  if (!iMay(of.kind, owner)) return <Offer kind={of.kind} owner={owner} />;
  return (
    <>
      <p class="quiet">{owner !== undefined && owner !== me.value ? textProposals.bringBack(nameOf(owner)) : text.bringBackWhy}</p>
      <Button icon="undo" busy={busy} onClick={() => void bring()}>{text.bringBack(rev)}</Button>
    </>
  );
}
