import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Pause, PauseLine } from "../generated/types";
import { announce, Button, Stop, Tag, toast } from "../parts";
import { hush } from "../parts/voice";
import { letSleep, stayAwake, wake } from "../parts/wakelock";
import { clearAnswers, keepRecord, NotKept, setAnswer, type OpenQuestion, type SheetUse } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { storedLimits } from "./limits";
import { factQuestion, factUnsettled } from "./othercase";
import { useInterruption, useSince } from "./interruption";
import { Line } from "./line";
import { sentence } from "./names";
import { answerAfter, answerOf, asideKey, firstOpen, isDone, isStop, lineKey, secondsLeft, tally, type AnswerWord } from "./pause";
import { NotesForDebrief } from "./debrief";
import { Reason } from "./reason";
import { recordOfAside, recordOfDone } from "./record";
import { backFromDrill, leaveAt } from "./standing";
import { useWall, wallWanted } from "./wall";

const words = textCase.aloud;
const more = textAloud.run;

interface RunProps {
  use: SheetUse;
  pause: Pause;
  /** The address of the list of pauses. */
  list: string;
}

/** One pause, one line at a time. Nothing is ticked before somebody has answered, and the next line comes only then. */
export function PauseRun({ use, pause, list }: RunProps) {
  const { answers } = use;
  const [resumed, setResumed] = useState(() => backFromDrill(use.caseId, pause.id));
  const [at, setAt] = useState(() => resumed ?? firstOpen(pause, answers));
  const [running, setRunning] = useState(resumed !== null);
  const [aside, setAside] = useState(false);
  const t = tally(pause, answers);
  const interruption = useInterruption(running && !t.finished);
  const open = firstOpen(pause, answers);
  const n = t.finished ? at : Math.min(at, open);
  const line = running ? pause.lines[n] : undefined;
  const live = line !== undefined && interruption.away === null && !aside;
  const root = useRef<HTMLDivElement>(null);
  useStanding(use.caseId, pause.id, running && !t.finished ? n : null);
  useWall(live);
  useEffect(() => {
    if (running) void stayAwake(); // back from a drill: the tap that led here still counts
    return () => { letSleep(); hush(); };
  }, []);
  useEffect(() => { if (live) toTop(root.current); return hush; }, [at, live]);

  const start = (from: number) => {
    void stayAwake();
    void setAnswer(use.caseId, asideKey(pause), null);
    interruption.over();
    setResumed(null);
    setAt(from);
    setRunning(true);
  };
  const again = async () => {
    if (t.begun && !t.finished && t.aside === undefined) await keepAside(use, pause, more.startedAgain);
    await clearAnswers(use.caseId, pause.lines.map((l) => lineKey(pause, l)));
    announce(words.againDone);
    start(0);
  };
  const answer = (l: PauseLine, word: AnswerWord, note?: string) => {
    const given = answerAfter(l, answerOf(pause, l, answers), word, note, more.atFirst);
    setResumed(null);
    void setAnswer(use.caseId, lineKey(pause, l), given);
    if (isDone(l, { ...given, at: "" })) setAt(t.finished ? t.of : n + 1);
  };
  const putAside = async (why: string) => {
    await keepAside(use, pause, why);
    await setAnswer(use.caseId, asideKey(pause), { answer: "put aside", note: why });
    setAside(false);
    setRunning(false);
    letSleep();
  };

  if (pause.lines.length === 0) return <p>{words.empty}</p>;
  if (!running) {
    return (
      <Frame pause={pause} list={list}>
        {t.begun && !t.finished && t.aside === undefined
          ? <Interrupted use={use} pause={pause} millis={null} line={open} onAgain={() => void again()} onResume={() => start(open)} />
          : <Before pause={pause} use={use} onStart={() => start(t.finished ? t.of : open)} onAgain={() => void again()} />}
      </Frame>
    );
  }
  if (interruption.away !== null) {
    return <Frame pause={pause} list={list}><Interrupted use={use} pause={pause} millis={interruption.away} line={n} onAgain={() => void again()} onResume={() => start(n)} /></Frame>;
  }
  if (aside) {
    return <Frame pause={pause} list={list}><Reason title={words.asideTitle} reasons={words.asideReasons} done={words.asideDo} onReason={(why) => void putAside(why)} onCancel={() => setAside(false)} /></Frame>;
  }
  if (!line) return <Frame pause={pause} list={list}><Summary pause={pause} use={use} onLine={setAt} onAgain={() => void again()} /></Frame>;
  const given = answerOf(pause, line, answers);
  return (
    <div class="run run-live" ref={root}>
      <div class="run-top">
        <h2>{sentence(pause.id)} <span class="run-of">{words.lineOf(n + 1, pause.lines.length)}</span></h2>
        <span class="run-left">{more.left(secondsLeft(pause, n))}</span>
        <span class="run-tools">
          <Button big kind="quiet" pressed={wallWanted.value} onClick={() => { wallWanted.value = !wallWanted.value; }}>{wallWanted.value ? more.wallOff : more.wall}</Button>
          {wallWanted.value && <Button big icon="branch" href={`/sheet/${use.caseId}/if`}>{more.if}</Button>}
        </span>
        <progress value={n} max={pause.lines.length} aria-hidden="true" />
      </div>
      {resumed !== null && <p class="run-resumed">{more.resumed} <Button big onClick={() => void again()}>{words.again}</Button></p>}
      <Line key={line.id} line={line} {...doubt(use, line.stored ?? "")} given={given} onAnswer={(word, note) => answer(line, word, note)}
        onBack={n > 0 ? () => setAt(n - 1) : undefined} onNext={isDone(line, given) ? () => setAt(n + 1) : undefined}
        onAside={() => setAside(true)} note={<Awake />} />
    </div>
  );
}

/** Keeps what was answered till now; that it could not be kept is said, and does not hold up the team. */
async function keepAside(use: SheetUse, pause: Pause, why: string): Promise<void> {
  try {
    await keepRecord(recordOfAside(use, pause, why, new Date().toISOString()));
  } catch (e) {
    toast(`${more.recordFailed} ${e instanceof NotKept ? e.message : ""}`, { stays: true });
  }
}

/** Notes the line that is left when another screen is opened. */
function useStanding(caseId: string, pause: string, line: number | null): void {
  const now = useRef(line);
  now.current = line;
  useEffect(() => () => { if (now.current !== null) leaveAt(caseId, pause, now.current); }, []);
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
      {pause.id === "debrief" && <NotesForDebrief caseId={use.caseId} />}
      <div class="row">
        <Button kind="primary" big onClick={onStart}>{t.finished ? words.look : t.begun ? words.goOn : words.start}</Button>
        {t.begun && <Button big onClick={onAgain}>{words.again}</Button>}
      </div>
    </div>
  );
}

interface InterruptedProps {
  use: SheetUse;
  pause: Pause;
  /** How long nobody was there; null where only the last answer tells. */
  millis: number | null;
  line: number;
  onAgain: () => void;
  onResume: () => void;
}

/** Starting again is the first choice: a team that was torn away does not remember what it heard. */
function Interrupted({ use, pause, millis, line, onAgain, onResume }: InterruptedProps) {
  const box = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => box.current?.focus(), []);
  const since = useSince(pause, use.answers);
  const gone = millis ?? since;
  return (
    <div class="run-before">
      <h3 ref={box} tabIndex={-1} class="run-when">{words.interrupted}</h3>
      <p>{gone === null ? more.leftScreen : more.awayFor(words.minutes(Math.round(gone / 1000)))}</p>
      <div class="row">
        <Button kind="primary" big onClick={onAgain}>{words.again}</Button>
        <Button big onClick={onResume}>{words.resume(line + 1)}</Button>
      </div>
      <Standing use={use} pause={pause} />
    </div>
  );
}

/** Every line that was answered, and those that stop the pause by shape and word. */
function Standing({ use, pause }: { use: SheetUse; pause: Pause }) {
  return (
    <>
      <h4>{more.stands}</h4>
      <ol class="run-review">
        {pause.lines.map((l) => {
          const given = answerOf(pause, l, use.answers);
          return (
            <li key={l.id}>
              <span>{l.text} {isStop(l, given) ? <Tag kind="stop" icon="stop">{words.said[given?.answer ?? ""]}</Tag> : <strong>{given ? words.said[given.answer] : more.open}</strong>}{given?.note && `: ${given.note}`}</span>
            </li>
          );
        })}
      </ol>
    </>
  );
}

function Summary({ pause, use, onLine, onAgain }: { pause: Pause; use: SheetUse; onLine: (at: number) => void; onAgain: () => void }) {
  const t = tally(pause, use.answers);
  const name = sentence(pause.id);
  const heading = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => heading.current?.focus(), []);
  return (
    <div class="run-before">
      <h3 ref={heading} tabIndex={-1} class="run-question">
        {t.notDone > 0 ? words.notComplete(name, t.done, t.of, t.notApplicable, t.notDone) : words.complete(name, t.done, t.of, t.notApplicable)}
      </h3>
      <p class="quiet">{words.readSummary}</p>
      <RecordState use={use} pause={pause} />
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

/** Keeps the record of a pause that has ended. The same answers are the same record, so looking at them again keeps nothing twice. */
function RecordState({ use, pause }: { use: SheetUse; pause: Pause }) {
  const [failed, setFailed] = useState<string | null>(null);
  const [kept, setKept] = useState(false);
  const record = recordOfDone(use, pause);
  const keep = () => {
    keepRecord(record).then(
      () => { setKept(true); setFailed(null); },
      (e) => setFailed(e instanceof NotKept ? e.message : more.recordFailed),
    );
  };
  useEffect(keep, [JSON.stringify(record)]);
  if (failed) return <Stop word={more.recordFailed}>{failed} <Button big onClick={keep}>{more.recordAgain}</Button></Stop>;
  return <p class="quiet" role="status">{kept ? more.recordKept : ""}</p>;
}

function Awake() {
  const state = wake.value;
  if (state === "off") return null;
  const text = { on: words.awake, refused: words.awakeRefused, missing: words.awakeMissing }[state];
  return <p class={state === "on" ? "hidden-visually" : "quiet small"} role="status">{text}</p>;
}
