import { useEffect, useRef, useState } from "preact/hooks";
import type { Pause, PauseLine } from "../generated/types";
import { announce, Button, Tag } from "../parts";
import { letSleep, stayAwake, wake } from "../parts/wakelock";
import { setAnswer, type OpenQuestion, type SheetUse } from "../state";
import { textCase } from "../text-case";
import { storedLimits } from "./limits";
import { factQuestion, factUnsettled } from "./othercase";
import { Line } from "./line";
import { sentence } from "./names";
import { answerOf, asideKey, firstOpen, isDone, lastAnswered, lineKey, tally, type AnswerWord } from "./pause";
import { Reason } from "./reason";

const words = textCase.aloud;

/** An interruption: this long without a touch, or away from the page. */
const idleMillis = 60_000;

interface RunProps {
  use: SheetUse;
  pause: Pause;
  /** The address of the list of pauses. */
  list: string;
}

/** One pause, one line at a time. Nothing is ticked before somebody has answered, and the next line comes only then. */
export function PauseRun({ use, pause, list }: RunProps) {
  const { answers } = use;
  const [at, setAt] = useState(() => firstOpen(pause, answers));
  const [running, setRunning] = useState(false);
  const [aside, setAside] = useState(false);
  const t = tally(pause, answers);
  const interruption = useInterruption(running && !t.finished);
  const root = useRef<HTMLDivElement>(null);
  useEffect(() => letSleep, []);
  useEffect(() => { if (running) toTop(root.current); }, [at, running]);

  const start = (line: number) => {
    void stayAwake();
    void setAnswer(use.caseId, asideKey(pause), null);
    interruption.over();
    setAt(line);
    setRunning(true);
  };
  const again = async () => {
    for (const l of pause.lines) await setAnswer(use.caseId, lineKey(pause, l), null);
    announce(words.againDone);
    start(0);
  };
  const answer = (line: PauseLine, word: AnswerWord, note?: string) => {
    const given = note === undefined ? { answer: word } : { answer: word, note };
    void setAnswer(use.caseId, lineKey(pause, line), given);
    if (isDone(line, { ...given, at: "" })) setAt(at + 1);
  };
  const putAside = (why: string) => {
    void setAnswer(use.caseId, asideKey(pause), { answer: "put aside", note: why });
    setAside(false);
    setRunning(false);
    letSleep();
  };

  if (pause.lines.length === 0) return <p>{words.empty}</p>;
  const away = interruption.away ?? (running ? null : since(pause, use));
  if (!running) {
    return (
      <Frame pause={pause} list={list}>
        {t.begun && !t.finished && !t.aside && away !== null
          ? <Interrupted millis={away} line={firstOpen(pause, answers)} onAgain={() => void again()} onResume={() => start(firstOpen(pause, answers))} />
          : <Before pause={pause} use={use} onStart={() => start(t.finished ? t.of : firstOpen(pause, answers))} onAgain={() => void again()} />}
      </Frame>
    );
  }
  if (away !== null) {
    return <Frame pause={pause} list={list}><Interrupted millis={away} line={at} onAgain={() => void again()} onResume={() => start(at)} /></Frame>;
  }
  if (aside) {
    return <Frame pause={pause} list={list}><Reason title={words.asideTitle} reasons={words.asideReasons} done={words.asideDo} onReason={putAside} onCancel={() => setAside(false)} /></Frame>;
  }
  const line = pause.lines[at];
  if (!line) return <Frame pause={pause} list={list}><Summary pause={pause} use={use} onLine={setAt} onAgain={() => void again()} /></Frame>;
  const given = answerOf(pause, line, answers);
  return (
    <div class="run run-live" ref={root}>
      <div class="run-top">
        <h2>{sentence(pause.id)}</h2>
        <span>{words.lineOf(at + 1, pause.lines.length)}</span>
        <progress value={at} max={pause.lines.length} aria-hidden="true" />
      </div>
      <Line key={line.id} line={line} {...doubt(use, line.stored ?? "")} given={given} onAnswer={(word, note) => answer(line, word, note)}
        onBack={at > 0 ? () => setAt(at - 1) : undefined} onNext={isDone(line, given) ? () => setAt(at + 1) : undefined}
        onAside={() => setAside(true)} note={<Awake />} />
    </div>
  );
}

/** What is in doubt about a stored value: the question about it, or only that the case now says something else. */
function doubt(use: SheetUse, stored: string): { open: boolean; question: OpenQuestion | undefined } {
  const facts = stored === "" ? [] : [...use.sheet.facts, ...(use.sheet.not_known ?? [])].filter((f) => f.text === stored && storedFacts.has(f.factor));
  const question = storedLimits(use, stored) ?? facts.map((f) => factQuestion(use, f.factor)).find((q) => q !== undefined);
  return { question, open: question !== undefined || facts.some((f) => factUnsettled(use, f.factor)) };
}

/** The facts that a line may reveal (checklist.ScriptLine.Value). Two of them may read alike; then both are looked at. */
const storedFacts = new Set(["lens-power", "backup-power", "toric-axis", "eye", "allergies"]);

/** Puts the line right below the bar at the top, so that every line and its answers stand in the same place. */
function toTop(line: HTMLElement | null): void {
  const bar = Number.parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--bar-bottom")) || 0;
  if (line) scrollBy(0, line.getBoundingClientRect().top - bar);
}

function Frame({ pause, list, children }: { pause: Pause; list: string; children: preact.ComponentChildren }) {
  return (
    <div class="run">
      <div class="run-top">
        <h2>{sentence(pause.id)}</h2>
        <Button big icon="back" href={list}>{words.list}</Button>
      </div>
      {children}
    </div>
  );
}

/** What the pause is, how long it takes, and the tap that starts it. */
function Before({ pause, use, onStart, onAgain }: { pause: Pause; use: SheetUse; onStart: () => void; onAgain: () => void }) {
  const t = tally(pause, use.answers);
  return (
    <div class="run-before">
      <p class="run-when">{pause.when}</p>
      <p class="quiet">{words.about(pause.lines.length, pause.seconds)}, {words.words(pause.words)}. {pause.long && <Tag kind="caution">{words.long}</Tag>}</p>
      {t.aside && <p>{words.asideDone(sentence(pause.id), t.done + t.notDone, t.of, t.aside)}</p>}
      <div class="row">
        <Button kind="primary" big onClick={onStart}>{t.finished ? words.look : t.begun ? words.goOn : words.start}</Button>
        {t.begun && <Button big onClick={onAgain}>{words.again}</Button>}
      </div>
    </div>
  );
}

/** Starting again is the first choice: a team that was torn away does not remember what it heard. */
function Interrupted({ millis, line, onAgain, onResume }: { millis: number; line: number; onAgain: () => void; onResume: () => void }) {
  const box = useRef<HTMLHeadingElement>(null);
  useEffect(() => box.current?.focus(), []);
  return (
    <div class="run-before">
      <h3 ref={box} tabIndex={-1} class="run-when">{words.interrupted}</h3>
      <p>{words.interruptedFor(words.minutes(Math.round(millis / 1000)))}</p>
      <div class="row">
        <Button kind="primary" big onClick={onAgain}>{words.again}</Button>
        <Button big onClick={onResume}>{words.resume(line + 1)}</Button>
      </div>
    </div>
  );
}

function Summary({ pause, use, onLine, onAgain }: { pause: Pause; use: SheetUse; onLine: (at: number) => void; onAgain: () => void }) {
  const t = tally(pause, use.answers);
  const name = sentence(pause.id);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  return (
    <div class="run-before">
      <h3 ref={heading} tabIndex={-1} class="run-question">
        {t.notDone > 0 ? words.notComplete(name, t.done, t.of, t.notApplicable, t.notDone) : words.complete(name, t.done, t.of, t.notApplicable)}
      </h3>
      <p class="quiet">{words.readSummary}</p>
      <h4>{words.review}</h4>
      <ol class="run-review">
        {pause.lines.map((l, i) => {
          const given = answerOf(pause, l, use.answers);
          return (
            <li key={l.id}>
              <span>{l.text} <strong>{words.said[given?.answer ?? ""] ?? given?.answer}</strong>{given?.note && `: ${given.note}`}</span>
              <Button kind="quiet" onClick={() => onLine(i)} label={`${words.change}: ${l.text}`} icon="edit" />
            </li>
          );
        })}
      </ol>
      <Button big onClick={onAgain}>{words.again}</Button>
    </div>
  );
}

function Awake() {
  const state = wake.value;
  if (state === "off") return null;
  const text = { on: words.awake, refused: words.awakeRefused, missing: words.awakeMissing }[state];
  return <p class={state === "on" ? "hidden-visually" : "quiet small"} role="status">{text}</p>;
}

/** How long ago the last answer was given, when that is long enough to count as an interruption. */
function since(pause: Pause, use: SheetUse): number | null {
  const last = lastAnswered(pause, use.answers);
  if (last === null) return null;
  const gone = Date.now() - last;
  return gone > idleMillis ? gone : null;
}

/** Watches for a minute without a touch or a key, and for the page being hidden that long. */
function useInterruption(watching: boolean): { away: number | null; over: () => void } {
  const [away, setAway] = useState<number | null>(null);
  const touched = useRef(Date.now());
  useEffect(() => {
    if (!watching) return;
    const touch = () => {
      if (!look()) touched.current = Date.now();
    };
    const look = () => {
      const gone = Date.now() - touched.current;
      if (gone > idleMillis) setAway(gone);
      return gone > idleMillis;
    };
    touched.current = Date.now();
    const timer = setInterval(look, 5000);
    addEventListener("pointerdown", touch, true);
    addEventListener("keydown", touch, true);
    document.addEventListener("visibilitychange", look);
    return () => {
      clearInterval(timer);
      removeEventListener("pointerdown", touch, true);
      removeEventListener("keydown", touch, true);
      document.removeEventListener("visibilitychange", look);
    };
  }, [watching, away]);
  return { away, over: () => { touched.current = Date.now(); setAway(null); } };
}
