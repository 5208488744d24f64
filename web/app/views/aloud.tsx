import type { Pause } from "../generated/types";
import { Icon, Link, Tag, timeInWords } from "../parts";
import { route } from "../router";
import { docsOf, type RecordBody, type SheetUse } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { NotesForDebrief, RecordsLink } from "./debrief";
import { sentence } from "./names";
import { answerOf, isStop, tally } from "./pause";
import { PauseRun } from "./pauserun";
import { recordsOf, recordTally } from "./record";
import "./aloud.css";

const words = textCase.aloud;

/** The pauses of the case; with ?pause=… the one that is being read. */
export function Aloud({ use }: { use: SheetUse }) {
  const named = route.value.query.get("pause");
  const chosen = use.sheet.pauses.find((p) => p.id === named);
  const list = `/sheet/${use.caseId}/aloud`;
  if (chosen) return <PauseRun key={chosen.id} use={use} pause={chosen} list={list} />;
  const records = recordsOf(docsOf<RecordBody>("record").map((d) => d.body), use.caseId);
  return (
    <div class="pauses">
      <p class="quiet">{words.lead}</p>
      <ol role="list">
        {use.sheet.pauses.map((p) => (
          <li key={p.id}>
            <Link href={`${list}?pause=${encodeURIComponent(p.id)}`} class="pause-row">
              <span class="pause-row-words">
                <strong>{sentence(p.id)}</strong>
                <span>{p.when}</span>
                <span class="quiet">{p.lines.length > 0 ? words.about(p.lines.length, p.seconds) : words.empty}</span>
                {p.long && <Tag kind="caution">{words.long}</Tag>}
                {records.map((r) => r.what === "pause" && r.pause === p.id && <span key={r.id}>{recordLine(r)}</span>)}
              </span>
              <PauseState pause={p} use={use} />
              <Icon name="forward" large />
            </Link>
          </li>
        ))}
      </ol>
      <NotesForDebrief caseId={use.caseId} />
      <RecordsLink caseId={use.caseId} />
    </div>
  );
}

/** A record in one line: "read 09:14, 7 lines, 1 not done". */
function recordLine(r: RecordBody & { what: "pause" }): string {
  const t = recordTally(r);
  const clock = timeInWords(r.ended);
  const first = r.outcome === "done" ? textAloud.record.read(clock, t.of) : textAloud.record.aside(clock, t.of - t.open, t.of);
  return [first, t.notDone > 0 && textAloud.record.notDone(t.notDone), t.stops > 0 && textAloud.record.stops(t.stops)].filter(Boolean).join(", ");
}

function PauseState({ pause, use }: { pause: Pause; use: SheetUse }) {
  const t = tally(pause, use.answers);
  if (t.stops > 0) {
    const line = pause.lines.findIndex((l) => isStop(l, answerOf(pause, l, use.answers)));
    return <Tag kind="stop">{textAloud.run.stopsAt(line + 1)}</Tag>;
  }
  if (t.aside) return <Tag icon="waiting">{words.states.closed}</Tag>;
  if (t.finished && t.notDone > 0) return <Tag icon="waiting">{words.states.closed}</Tag>;
  if (t.finished && t.of > 0) return <Tag kind="ok">{words.states.complete}</Tag>;
  return <Tag kind={t.begun ? "accent" : "plain"}>{t.begun ? words.states.begun(t.done + t.notDone, t.of) : words.states.new}</Tag>;
}
