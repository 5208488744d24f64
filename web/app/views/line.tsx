import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { PauseLine } from "../generated/types";
import { announce, Button, Icon, Stop, Tag, useFoot } from "../parts";
import { Because } from "../parts/because";
import { aloud } from "../lang/said";
import { speak, voice } from "../parts/voice";
import type { OpenQuestion } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { sentence, unbroken } from "./names";
import type { AnswerWord, Given } from "./pause";
import { useWhole } from "./linefit";
import { Reason } from "./reason";
import { Unresolved } from "./unresolved";

const words = textCase.aloud;
const more = textAloud.run;

interface LineProps {
  line: PauseLine;
  /** The stored value is one that nobody may rely on. */
  open: boolean;
  /** The question about it, where two people set it differently. */
  question: OpenQuestion | undefined;
  given: Given | undefined;
  onAnswer: (word: AnswerWord, note?: string) => void;
  onBack: (() => void) | undefined;
  /** Only once the line has its answer. */
  onNext: (() => void) | undefined;
  onAside: () => void;
  /** Said at the foot: whether the screen stays on. */
  note: ComponentChildren;
}

/** A wet screen and a nervous thumb tap twice; the second tap would answer the next line, or say "same" to a value, unread. */
const ghostMillis = 300;
const ghostMillisOfValue = 700;

/** One question: who asks, who answers, three answers alike and in fixed places, and the stored value only after the answer. */
export function Line({ line, open, question, given, onAnswer, onBack, onNext, onAside, note }: LineProps) {
  const [asking, setAsking] = useState<"not done" | "settle" | null>(null);
  const heading = useRef<HTMLHeadingElement>(null);
  const shown = useRef(performance.now());
  const feet = useRef<HTMLDivElement>(null);
  const said = useRef<HTMLDivElement>(null);
  const goesOn = useWhole(said, heading, feet, asking === null);
  useFoot(feet, asking === null);
  useLayoutEffect(() => heading.current?.focus({ preventScroll: true }), []);
  const say = (word: AnswerWord, note?: string) => { if (awake()) onAnswer(word, note); };

  const answered = given?.answer;
  const unsure = answered === "not sure";
  const comparing = Boolean(line.stored) && (answered === "answered" || answered === "same" || answered === "different");
  const awake = () => performance.now() - shown.current > (comparing ? ghostMillisOfValue : ghostMillis);
  const wakeAgain = () => { shown.current = performance.now(); };
  useLayoutEffect(wakeAgain, [comparing, answered, asking]);
  const spoken = unsure ? `${more.stopTitle}. ${more.stopDo}`
    : comparing && answered === "different" && !given?.note ? `${words.differTitle}. ${words.differDo}`
      : comparing ? (open ? words.storedOpen : `${words.reveal}: ${line.stored}. ${words.revealAsk}`) : "";
  useEffect(() => {
    if (!spoken) return;
    announce(spoken);
    return () => announce(""); // it is true of this line alone
  }, [spoken]);
  useLineKeys(asking === null, {
    answer: () => { if (!comparing && !unsure) say("answered"); },
    same: () => { if (comparing && !open) say("same"); },
    different: () => { if (comparing && !open) say("different"); },
    back: onBack, next: onNext,
  });

  if (asking !== null) {
    const settle = asking === "settle";
    return (
      <Reason title={settle ? words.settle : words.reason} about={line.text} reasons={settle ? words.settles : words.reasons} done={words.writeDown}
        onReason={(why) => { setAsking(null); onAnswer(settle ? "different" : "not done", why); }} onCancel={() => setAsking(null)} />
    );
  }
  return (
    <div class="line">
      <div class="line-words" ref={said}>
        <p class="line-who"><strong>{sentence(words.asks(line.ask))}</strong><span aria-hidden="true"> → </span><strong>{words.answers(line.answer)}</strong></p>
        {line.question && <Tag kind="notknown">{words.question}</Tag>}
        <h3 ref={heading} tabIndex={-1} class="run-question">{unbroken(line.text)}</h3>
        {line.expect && <p class="line-expect"><span class="quiet">{words.expect}:</span> {unbroken(line.expect)}</p>}
        {line.added && <p class="line-added"><Tag icon="plus">{words.added}</Tag> <Because why={line.why} /></p>}
        {voice.value && <Button icon="aloud" big kind="quiet" onClick={() => speak(`${words.asks(line.ask)}, ${words.answers(line.answer)}. ${aloud(line.text)}`)}>{more.speak}</Button>}
        {given && !unsure && !(comparing && !onNext) && <p><Tag kind="accent" icon="tick">{words.said[given.answer] ?? given.answer}{given.note && `: ${given.note}`}</Tag></p>}
      </div>
      <div class="line-foot" ref={feet}>
        {goesOn && <p class="line-below" aria-hidden="true"><Icon name="down" /> {more.below}</p>}
        {comparing && <Stored stored={unbroken(line.stored ?? "")} open={open} question={question} given={given} />}
        {unsure && <Stop word={more.stopTitle}>{more.stopDo}</Stop>}
        {comparing
          ? <CompareAnswers open={open} differs={given?.answer === "different"} onSame={() => say("same")} onNotDone={() => { if (awake()) setAsking("not done"); }} onDifferent={() => say("different")} onSettle={() => { if (awake()) setAsking("settle"); }} onNotSure={() => say("not sure")} />
          : <div class={unsure ? "line-answers line-answers-two" : "line-answers"}>
            <Button big onClick={() => say("answered")}>{unsure ? more.settledNow : words.answered}</Button>
            {!unsure && <Button big disabled={Boolean(line.stored)} onClick={() => say("not applicable")}>{words.notApplicable}</Button>}
            <Button big onClick={() => { if (awake()) setAsking("not done"); }}>{words.notDone}</Button>
            {!unsure && <Button big icon="stop" onClick={() => say("not sure")}>{more.notSure}</Button>}
          </div>}
        <div class="line-move">
          <Button big icon="back" disabled={!onBack} onClick={() => onBack?.()}>{words.previous}</Button>
          <Button big kind="quiet" onClick={onAside}>{words.aside}</Button>
          <Button big icon="forward" disabled={!onNext} onClick={() => onNext?.()}>{words.next}</Button>
        </div>
        <div class="line-notes">{note}<p class="line-keys quiet small">{comparing ? words.keysReveal : words.keys}</p></div>
      </div>
    </div>
  );
}

/** The stored value, shown after somebody has read the thing itself aloud. */
function Stored({ stored, open, question, given }: { stored: string; open: boolean; question: OpenQuestion | undefined; given: Given | undefined }) {
  return (
    <div class="compare">
      {question ? <Unresolved stop question={question}>{words.storedOpen}</Unresolved>
        : open ? <Stop word={words.storedOpenWord}>{words.storedOpen}</Stop> : <p class="compare-stored"><span class="quiet">{words.reveal}:</span> <strong>{stored}</strong></p>}
      {given?.answer === "different"
        ? <Stop word={words.differTitle}>{words.differDo} {given.note}</Stop>
        : !open && <p class="compare-ask">{words.revealAsk}</p>}
    </div>
  );
}

interface CompareProps {
  /** Nobody has decided about the stored value: there is nothing to be the same as. */
  open: boolean;
  differs: boolean;
  onSame: () => void;
  onDifferent: () => void;
  onNotDone: () => void;
  onSettle: () => void;
  onNotSure: () => void;
}

function CompareAnswers({ open, differs, onSame, onDifferent, onNotDone, onSettle, onNotSure }: CompareProps) {
  const doubt = !open && !differs;
  return (
    <div class={doubt ? "line-answers line-answers-three" : "line-answers line-answers-two"}>
      {open ? <Button big onClick={onNotDone}>{words.notDone}</Button>
        : <Button big onClick={onSame}>{differs ? words.differSame : words.same}</Button>}
      {differs || open
        ? <Button big onClick={onSettle}>{words.differNote}</Button>
        : <Button big onClick={onDifferent}>{words.different}</Button>}
      {doubt && <Button big icon="stop" onClick={onNotSure}>{more.notSure}</Button>}
    </div>
  );
}

interface Keys {
  answer: () => void;
  same: () => void;
  different: () => void;
  back: (() => void) | undefined;
  next: (() => void) | undefined;
}

/** Space, enter and page down answer; a button that has the focus keeps its own space and enter. */
function useLineKeys(listening: boolean, keys: Keys): void {
  useEffect(() => {
    if (!listening) return;
    const press = (e: KeyboardEvent) => {
      if (e.repeat || e.altKey || e.ctrlKey || e.metaKey) return;
      const own = e.target instanceof Element && e.target.closest("button, a, input, textarea, summary") !== null;
      const actions: Record<string, (() => void) | undefined> = {
        ArrowLeft: keys.back, PageUp: keys.back, ArrowRight: keys.next, PageDown: keys.answer, s: keys.same, d: keys.different,
        ...(own ? {} : { " ": keys.answer, Enter: keys.answer }),
      };
      const action = actions[e.key.length === 1 ? e.key.toLowerCase() : e.key];
      if (!action) return;
      e.preventDefault();
      action();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  });
}
