import { useState } from "preact/hooks";
import type { Card, Case } from "../generated/types";
import { announce, Button, Note, ProblemList, toast } from "../parts";
import { go } from "../router";
import { doc, keep, me, sheetUse, type Doc, type Problem } from "../state";
import { textList } from "../text-list";
import { cardName } from "./cardwords";
import { problemsOf } from "./edit/problems";
import { inPlace, newPlaces, orderNow, step } from "./listorder";
import { sentence } from "./names";
import { nameOf } from "./people";

const words = textList.order;

interface Row {
  id: string;
  position: number;
  of: Doc<Case>;
}

/** The order of the list, changed by buttons and kept as one edit of each case that moved. */
export function ListOrder({ day, cases }: { day: string; cases: readonly Doc<Case>[] }) {
  const rows = inPlace(cases.map((of): Row => ({ id: of.id, position: of.body.position, of })));
  const [order, setOrder] = useState<readonly string[]>([]);
  const [busy, setBusy] = useState(false);
  const [problems, setProblems] = useState<Problem[]>([]);
  const ordered = orderNow(order, rows);
  const moves = newPlaces(ordered);
  const move = (r: Row, by: -1 | 1) => {
    const next = step(ordered.map((x) => x.id), r.id, by);
    setOrder(next);
    announce(textList.brief.place(next.indexOf(r.id) + 1, next.length));
    // A row that is put elsewhere takes its buttons along, and the keys with them.
    const pressed = document.activeElement as HTMLElement | null;
    requestAnimationFrame(() => pressed?.focus());
  };
  const save = async () => {
    if (me.peek() === null) {
      toast(words.whoFirst);
      return go("/person");
    }
    setBusy(true);
    setProblems([]);
    try {
      for (const { of: { of }, position } of moves) await keep({ kind: "case", doc: of.id, body: { ...of.body, position }, reason: words.reason, from: of });
      setOrder([]);
      toast(words.kept);
      go(`/?list=${day}`);
    } catch (e) {
      setProblems(problemsOf(e));
    } finally {
      setBusy(false);
    }
  };
  return (
    <div class="stack">
      <p>{words.lead}</p>
      {rows.some((r) => sheetUse(r.id).value) && <Note>{words.sheets}</Note>}
      <ol role="list" class="reorder">
        {ordered.map((r, i) => (
          <li key={r.id}>
            <Place row={r} now={moves.find((m) => m.of.id === r.id)?.position ?? r.position} />
            <span class="reorder-buttons">
              <Button big icon="up" label={words.up(r.position)} disabled={i === 0 || busy} onClick={() => move(r, -1)} />
              <Button big icon="down" label={words.down(r.position)} disabled={i === ordered.length - 1 || busy} onClick={() => move(r, 1)} />
            </span>
          </li>
        ))}
      </ol>
      <ProblemList title={words.notKept} problems={problems} />
      <div class="row">
        <Button big kind="primary" busy={busy} disabled={moves.length === 0} onClick={() => void save()}>{busy ? words.keeping : words.keep}</Button>
        <Button big disabled={moves.length === 0 || busy} onClick={() => setOrder([])}>{words.back}</Button>
        {moves.length === 0 && <span class="quiet">{words.nothing}</span>}
      </div>
    </div>
  );
}

function Place({ row: { of, position }, now }: { row: Row; now: number }) {
  const card = doc<Card>("card", of.body.card)?.body;
  const eye = [of.body.facts?.["eye"]].flat()[0] ?? textList.brief.eyeMissing;
  return (
    <>
      <span class="reorder-place">{now}</span>
      <span class="sum-words">
        <strong>{sentence(eye)}{now !== position && <span class="quiet"> · {words.was(position)}</span>}</strong>
        <span class="quiet">{nameOf(of.body.surgeon)}{card && `, ${cardName(card)}`}</span>
      </span>
    </>
  );
}
