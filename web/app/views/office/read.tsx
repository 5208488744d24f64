import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { Button, Caution, ProblemList, Time } from "../../parts";
import { status } from "../../state";
import type { Reply } from "../../sync/request";
import { textOffice } from "../../text-office";

/** What the server said when it was last asked. What it said before that is not kept: it might not hold any more. */
export type Read<T> =
  | { now: "reading" | "away" }
  | { now: "refused"; text: string; signIn: boolean }
  | { now: "here"; value: T; at: string };

export interface Reading<T> {
  read: Read<T>;
  again: () => Promise<void>;
}

const usual = 30;

/** Asks the server at once, again when the key changes, whenever the page comes back, and every so many seconds. */
export function useRead<T>(ask: () => Promise<Reply<T>>, key = "", seconds = usual): Reading<T> {
  const [read, setRead] = useState<Read<T>>({ now: "reading" });
  const current = useRef(ask);
  current.current = ask;
  const turn = useRef(0);
  const again = async () => {
    const mine = ++turn.current;
    const reply = await current.current();
    if (mine === turn.current) setRead(readOf(reply));
  };
  useEffect(() => {
    const look = () => { if (document.visibilityState === "visible") void again(); };
    void again();
    const timer = setInterval(look, seconds * 1000);
    document.addEventListener("visibilitychange", look);
    return () => {
      turn.current++;
      clearInterval(timer);
      document.removeEventListener("visibilitychange", look);
    };
  }, [key, seconds]);
  const server = status.value.server;
  const first = useRef(true);
  useEffect(() => {
    if (first.current) first.current = false;
    else if (server === "not reached") setRead({ now: "away" });
    else void again();
  }, [server]);
  return { read, again };
}

function readOf<T>(reply: Reply<T>): Read<T> {
  switch (reply.kind) {
    case "answer": return { now: "here", value: reply.value, at: new Date().toISOString() };
    case "lost": return { now: "away" };
    case "wait": return { now: "refused", text: reply.text, signIn: false };
    case "refused": return { now: "refused", text: reply.refusal.text, signIn: reply.refusal.code === "not signed in" };
  }
}

/** What was read, or why there is nothing to show. */
export function Shown<T>({ of: { read, again }, children }: { of: Reading<T>; children: (value: T) => ComponentChildren }) {
  const [busy, setBusy] = useState(false);
  const press = () => {
    setBusy(true);
    void again().finally(() => setBusy(false));
  };
  const button = <Button busy={busy} onClick={press}>{textOffice.readAgain}</Button>;
  switch (read.now) {
    case "reading": return <p role="status" class="coming">{textOffice.reading}</p>;
    case "away": return <><Caution>{textOffice.away}</Caution><div>{button}</div></>;
    case "refused": return (
      <>
        <ProblemList title={textOffice.notDone} problems={[{ text: read.text }]} />
        <div class="row">{read.signIn && <Button kind="primary" href="/person">{textOffice.signIn}</Button>}{button}</div>
      </>
    );
    case "here": return (
      <>
        {children(read.value)}
        <div class="row-apart quiet"><span>{textOffice.readAt} <Time at={read.at} /></span>{button}</div>
      </>
    );
  }
}
