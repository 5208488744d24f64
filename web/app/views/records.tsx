import { EmptyState, Screen, Tag, timeInWords } from "../parts";
import { route } from "../router";
import { doc, docsOf, type Case, type Doc, type RecordBody, type RecordLine } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { sentence } from "./names";
import { nameOf } from "./people";
import { recordsOf } from "./record";
import "./records.css";

const words = textAloud.record;

/** Everything that was read aloud or noted for one case, with every line, as it was kept. */
export function Records() {
  const caseId = route.value.parts[1] ?? "";
  const all = new Map(docsOf<RecordBody>("record").map((d) => [d.id, d]));
  const list = recordsOf([...all.values()].map((d) => d.body), caseId);
  const position = doc<Case>("case", caseId)?.body.position ?? list[0]?.position;
  const back = position === undefined ? { href: "/", label: words.back } : { href: `/sheet/${caseId}/aloud`, label: words.toCase(position) };
  return (
    <Screen title={words.title} back={back}>
      {list.length === 0 && <EmptyState title={words.none} help="reading-aloud"><p>{words.noneWhy}</p></EmptyState>}
      {list.length > 0 && <p class="quiet">{words.lead}</p>}
      <ol role="list" class="stack">
        {list.map((r) => <li key={r.id}><article class="panel record"><RecordPart of={r} doc={all.get(r.id)!} /></article></li>)}
      </ol>
    </Screen>
  );
}

function RecordPart({ of: r, doc: d }: { of: RecordBody; doc: Doc<RecordBody> }) {
  const by = d.history[0]?.by;
  return (
    <>
      <h2>{r.what === "note" ? words.note : sentence(r.pause)}</h2>
      <p class="quiet">
        {timeInWords(r.begun)} – {timeInWords(r.ended)} · {words.revisions(r.card_revision, r.rules_revision)}
        {by && ` · ${words.kept(by === "theatre" ? words.theatre : nameOf(by))}`}
        {d.waiting > 0 && <> · <Tag icon="waiting">{words.waits}</Tag></>}
      </p>
      {r.what === "note" && <p>{r.title}: <strong>{r.text}</strong></p>}
      {r.what === "pause" && r.reason && <p><Tag icon="waiting">{words.because(r.reason)}</Tag></p>}
      {r.what === "pause" && <ol class="record-lines">{r.lines.map((l) => <li key={l.id}><LinePart line={l} /></li>)}</ol>}
    </>
  );
}

function LinePart({ line: l }: { line: RecordLine }) {
  const stops = l.answer === "not sure" || (l.answer === "different" && !l.note);
  const said = l.answer ? textCase.aloud.said[l.answer] ?? l.answer : textAloud.run.open;
  return (
    <>
      <p>{l.text}</p>
      <p>
        {stops || l.answer === "not done" ? <Tag kind={stops ? "stop" : "plain"}>{said}</Tag> : <strong>{said}</strong>}
        {l.note && `: ${l.note}`}{l.stored && ` · ${words.stored(l.stored)}`}
      </p>
      <p class="quiet small">{words.answers(l.ask, l.by)}{l.at && ` · ${timeInWords(l.at)}`}</p>
    </>
  );
}
