import { useEffect, useState } from "preact/hooks";
import type { RuleBook } from "../../generated/types";
import { Button, Caution, Tag, Time } from "../../parts";
import { route } from "../../router";
import { NotKept, revision, type Doc, type Revision } from "../../state";
import { text } from "../../text";
import { textUnit } from "../../text-unit";
import { BringBack, RevisionCard } from "../history";
import "../history.css";
import { nameOf } from "../people";
import { useChanges } from "./keeprules";

const words = textUnit.history;
const at = "/rules/history";

/** Every revision of the house rules, or one of them and what bringing it back would change. */
export function RuleHistory({ of }: { of: Doc<RuleBook> }) {
  const wanted = Number(route.value.query.get("revision"));
  const found = of.history.find((h) => h.rev === wanted);
  if (found) return <Old key={found.rev} of={of} entry={found} />;
  return (
    <>
      <p class="quiet">{words.of} {text.historyNames}</p>
      {of.waiting > 0 && <p><Tag kind="accent" icon="waiting">{text.editsWaiting(of.waiting)}</Tag> {text.waitingFirst}</p>}
      <ol role="list" class="stack" reversed>
        {[...of.history].reverse().map((h) => <li key={h.rev}><RevisionCard of={of} entry={h} at={at} /></li>)}
      </ol>
    </>
  );
}

type Read = { body: RuleBook } | { error: string } | null;

function Old({ of, entry }: { of: Doc<RuleBook>; entry: Revision }) {
  const [read, setRead] = useState<Read>(null);
  useEffect(() => {
    let here = true;
    revision("rules", of.id, entry.rev).then(
      (r) => { if (here) setRead({ body: r.body as RuleBook }); },
      (e: unknown) => { if (here) setRead({ error: e instanceof NotKept ? e.message : text.revisionAway }); },
    );
    return () => { here = false; };
  }, [of.id, entry.rev]);
  return (
    <>
      <div><Button icon="back" href={at}>{text.historyTitle}</Button></div>
      <h2>{text.revisionHead(entry.rev)}</h2>
      <Caution>{text.oldRevision(entry.rev, of.rev)}</Caution>
      <p class="quiet">{nameOf(entry.by)}, <Time at={entry.at} />: {entry.reason || text.noReason}</p>
      {read && "error" in read && <p>{read.error}</p>}
      {read && "body" in read && <Bring of={of} body={read.body} rev={entry.rev} />}
    </>
  );
}

function Bring({ of, body, rev }: { of: Doc<RuleBook>; body: RuleBook; rev: number }) {
  const changes = useChanges(of.body, body);
  return (
    <section class="panel stack" aria-labelledby="bring">
      <h3 id="bring">{words.since}</h3>
      {changes?.length === 0 ? <p>{words.nothing}</p> : <ul class="revision-changes">{changes?.map((c) => <li key={c}>{c}</li>)}</ul>}
      {changes !== null && changes.length > 0 && <div class="row"><BringBack of={of} body={body} rev={rev} to="/rules/history" /></div>}
    </section>
  );
}
