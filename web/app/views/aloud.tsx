import type { Pause } from "../generated/types";
import { Icon, Link, Tag } from "../parts";
import { route } from "../router";
import type { SheetUse } from "../state";
import { textCase } from "../text-case";
import { sentence } from "./names";
import { tally } from "./pause";
import { PauseRun } from "./pauserun";
import "./aloud.css";

const words = textCase.aloud;

/** The pauses of the case; with ?pause=… the one that is being read. */
export function Aloud({ use }: { use: SheetUse }) {
  const chosen = use.sheet.pauses.find((p) => p.id === route.value.query.get("pause"));
  const list = `/sheet/${use.caseId}/aloud`;
  if (chosen) return <PauseRun key={chosen.id} use={use} pause={chosen} list={list} />;
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
              </span>
              <PauseState pause={p} use={use} />
              <Icon name="forward" large />
            </Link>
          </li>
        ))}
      </ol>
    </div>
  );
}

function PauseState({ pause, use }: { pause: Pause; use: SheetUse }) {
  const t = tally(pause, use.answers);
  if (t.aside) return <Tag icon="waiting">{words.states.closed}</Tag>;
  if (t.finished && t.notDone > 0) return <Tag icon="waiting">{words.states.closed}</Tag>;
  if (t.finished && t.of > 0) return <Tag kind="ok">{words.states.complete}</Tag>;
  return <Tag kind={t.begun ? "accent" : "plain"}>{t.begun ? words.states.begun(t.done + t.notDone, t.of) : words.states.new}</Tag>;
}
