import { useState } from "preact/hooks";
import type { Card } from "../generated/types";
import { Button, Caution, Stop, toast } from "../parts";
import { keep, NotKept, status, type Doc, type ShownProposal } from "../state";
import { text } from "../text";
import { textProposals } from "../text-proposals";
import { useCheck } from "./edit/check";
import { opened } from "./edit/draft";
import { Keeping } from "./edit/keeping";
import { unbroken } from "./names";
import { nameOf } from "./people";
import { resultOf, sideKey, useJoined, useWords, type Joined } from "./proposaljoin";
import { SideLines, type Side } from "./question";
import { Reason } from "./reason";
import "./waiting.css";

const words = textProposals;

interface AnsweringProps {
  of: Doc<Card>;
  p: ShownProposal;
}

/** What the owner sees before answering, and the three answers. */
export function Answering({ of, p }: AnsweringProps) {
  const joined = useJoined(of, p);
  const [sides, setSides] = useState<Record<string, Side>>({});
  const [step, setStep] = useState<"looking" | "declining" | { from: Doc<Card>; body: Card }>("looking");
  const body = joined && resultOf(joined, sides);
  const settled = joined?.questions.every((q) => sides[sideKey(q)]) ?? false;
  const { problems } = useCheck("card", body ?? of.body);
  const wrong = problems.filter((x) => x.level === "error");
  if (step === "declining") return <Declining of={of} p={p} onDone={() => setStep("looking")} />;
  return (
    <>
      {joined ? <Effect of={of} body={body} settled={settled} asked={joined.questions.length > 0} /> : <Working />}
      {joined && <Choices joined={joined} p={p} of={of} sides={sides} onChoose={(key, side) => setSides({ ...sides, [key]: side })} />}
      {wrong.length > 0 && <Stop>{[words.toMend, ...wrong.map((x) => x.text)].join(" ")}</Stop>}
      <div class="row">
        <Button kind="primary" icon="tick" disabled={!body || !settled || wrong.length > 0}
          onClick={() => body && setStep({ from: opened(of), body })}>{words.accept}</Button>
        <Button icon="edit" href={`/cards/${of.id}/edit?proposal=${p.id}`}>{words.change}</Button>
        <Button icon="cross" onClick={() => setStep("declining")}>{words.decline}</Button>
      </div>
      {typeof step === "object" && <Accepting p={p} from={step.from} body={step.body} onClose={() => setStep("looking")} />}
    </>
  );
}

/** Said while the core has not answered. */
export function Working() {
  return <p class="quiet" role="status">{status.value.core === "failed" ? words.effectAway : words.effectWorking}</p>;
}

interface EffectProps {
  of: Doc<Card>;
  body: Card | null;
  /** Of every value that both changed, one was chosen. */
  settled: boolean;
  /** Both changed something. */
  asked: boolean;
}

/** What accepting would change, and the cautions that the card does not raise yet. */
function Effect({ of, body, settled, asked }: EffectProps) {
  const changes = useWords(of.body, body);
  const now = useCheck("card", of.body).problems.map((x) => x.text);
  const cautions = useCheck("card", body ?? of.body).problems.filter((x) => x.level === "caution" && !now.includes(x.text));
  return (
    <section class="stack-close" aria-label={words.effect}>
      <h4>{words.effect}</h4>
      {changes === null ? <Working />
        : changes.length === 0 ? settled && <p>{asked ? words.effectStays : words.effectNone}</p>
        : <ul class="waiting-changes">{changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>}
      {changes !== null && !settled && <p>{words.effectOpen}</p>}
      {cautions.map((c) => <Caution key={c.text} word={words.cautionsNew}>{c.text}</Caution>)}
    </section>
  );
}

interface ChoicesProps extends AnsweringProps {
  joined: Joined;
  sides: Record<string, Side>;
  onChoose: (key: string, side: Side) => void;
}

/** Where owner and proposal changed one thing differently: both stand, and one is chosen. */
function Choices({ joined, p, of, sides, onChoose }: ChoicesProps) {
  if (joined.questions.length === 0) return null;
  return (
    <div class="stack-close">
      <Caution word={text.questionHead}>{words.bothChanged}</Caution>
      {joined.questions.map((q) => (
        <section key={q.unit} class="stack-close" aria-label={q.label}>
          <h4>{q.label}</h4>
          <div class="question-sides">
            {(["head", "mine"] as const).map((side) => (
              <div key={side} class="question-side">
                <p class="quiet">{side === "head" ? words.yours(nameOf(of.body.owner)) : words.theirs(nameOf(p.by))}</p>
                <SideLines q={q} side={side} />
                {resultOf(joined, { [sideKey(q)]: side })
                  ? <Button pressed={sides[sideKey(q)] === side} onClick={() => onChoose(sideKey(q), side)}>{sides[sideKey(q)] === side ? words.taken : words.takeThis}</Button>
                  : <p>{words.inEditor}</p>}
              </div>
            ))}
          </div>
        </section>
      ))}
    </div>
  );
}

/** The last look before the card is changed: as before any other change. */
function Accepting({ p, from, body, onClose }: { p: ShownProposal; from: Doc<Card>; body: Card; onClose: () => void }) {
  const { problems } = useCheck("card", body);
  const decides = from.questions.filter((q) => p.decides?.includes(q.id)).map((q) => q.id);
  const accept = async (reason: string) => {
    await keep({ kind: "card", doc: from.id, body, reason, takes: [p.id], decides, from });
    onClose();
    toast(words.accepted);
  };
  return (
    <Keeping card={body} base={from.body} copiedFrom={null} isNew={false} settling problems={problems}
      reason={words.acceptReason(nameOf(p.by), p.reason).slice(0, 160)} onKeep={accept} onClose={onClose} />
  );
}

function Declining({ of, p, onDone }: AnsweringProps & { onDone: () => void }) {
  const [from] = useState(() => opened(of));
  const decline = async (why: string) => {
    try {
      await keep({ kind: "card", doc: of.id, body: from.body, reason: words.declinedReason(nameOf(p.by)), declines: [{ proposal: p.id, reason: why }], from });
      toast(words.declined);
      onDone();
    } catch (e) {
      toast(e instanceof NotKept ? e.message : text.notKept, { stays: true });
    }
  };
  return (
    <Reason title={words.declineTitle} about={words.declineAbout(nameOf(p.by))} reasons={words.declineReasons} done={words.declineDone}
      onReason={(why) => void decline(why)} onCancel={onDone} />
  );
}
