import { useEffect, useState } from "preact/hooks";
import { Button, Caution, EmptyState, Screen, Stop, Time } from "../parts";
import { setAsideAfter, type SetAsideEdit } from "../state";
import { text } from "../text";
import { nameOf } from "./people";
import { titleOf } from "./waiting";
import "./waiting.css";

type Read = { list: SetAsideEdit[]; more: boolean } | "away" | null;

/** What the server set aside, of all devices. It is read each time and nothing can be changed here. */
export function SetAside() {
  const [read, setRead] = useState<Read>(null);
  const go = async (before: SetAsideEdit[]) => {
    const found = await setAsideAfter(before[before.length - 1]?.receipt.seq ?? 0);
    setRead(found ? { list: [...before, ...found.edits], more: found.more } : "away");
  };
  useEffect(() => void go([]), []);
  return (
    <Screen title={text.setAsideHead} back={{ href: "/waiting", label: text.waitingTitle }}>
      {read === null && <p role="status">{text.setAsideReading}</p>}
      {read === "away" && <Caution>{text.setAsideAway}</Caution>}
      {read === "away" && <div><Button onClick={() => void go([])}>{text.tryAgain}</Button></div>}
      {read && read !== "away" && <List of={read} onMore={() => void go(read.list)} />}
    </Screen>
  );
}

function List({ of, onMore }: { of: { list: SetAsideEdit[]; more: boolean }; onMore: () => void }) {
  if (of.list.length === 0) return <EmptyState title={text.setAsideNone} help="unit-lead"><p>{text.setAsideNoneWhy}</p></EmptyState>;
  return (
    <>
      <p class="quiet">{text.setAsideLead}</p>
      <ol role="list" class="stack">{of.list.map((k) => <li key={k.edit.id}><KeptPart of={k} /></li>)}</ol>
      {of.more && <div><Button onClick={onMore}>{text.setAsideMore}</Button></div>}
    </>
  );
}

function KeptPart({ of: { at, edit, receipt } }: { of: SetAsideEdit }) {
  return (
    <article class="panel waiting-edit">
      <h2>{titleOf(receipt.kind, receipt.doc)}</h2>
      <Stop word={text.setAside}>{receipt.reason ?? ""}</Stop>
      {(receipt.problems ?? []).length > 0 && <ul class="waiting-changes">{receipt.problems?.map((p) => <li key={p.path + p.text}>{p.text}</li>)}</ul>}
      <p>{text.setAsideBy(nameOf(edit.author))}. {text.setAsideReason(edit.reason || text.noReason)}</p>
      <p class="quiet">{text.onServer} <Time at={at} /> · {text.deviceClock} <Time at={edit.made} /></p>
      <details>
        <summary>{text.setAsideBody}</summary>
        <pre class="waiting-body">{JSON.stringify(edit.body, null, 1)}</pre>
      </details>
    </article>
  );
}
