import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Card, LargeChange } from "../../generated/types";
import { Button, Dialog, MultiChoice, Note, ProblemList, TextField } from "../../parts";
import { diff, stable, type Problem } from "../../state";
import { textCase } from "../../text-case";
import { techniqueOf } from "../cardwords";
import { unbroken } from "../names";
import { nameOf } from "../people";
import { useBigChanges } from "./big";
import { IdentityCautions } from "./identity";
import { problemsOf } from "./problems";
import { offeredReasons } from "./reasonlist";
import { rememberReason, usualReasons } from "./reasons";

const words = textCase.edit;

interface StepProps {
  card: Card;
  /** What the change is compared with; null for a card that starts empty. */
  base: Card | null;
  isNew: boolean;
  /** The edit answers an open question, which is a change even where no value changes. */
  settling: boolean;
  problems: readonly Problem[];
  /** The reason to begin with. */
  reason?: string;
  onKeep: (reason: string) => Promise<void>;
}

interface KeepingStepProps extends StepProps {
  reasonNeeded: boolean;
}

interface KeepingProps extends StepProps {
  /** The title of the card this one was copied from. */
  copiedFrom: string | null;
  /** What has to be known before it is kept. */
  note?: ComponentChildren;
  onClose: () => void;
}

/** What stands between a change and keeping it, the same wherever it is kept from. */
export function useKeeping({ card, base, isNew, settling, problems, reason: given = "", reasonNeeded, onKeep }: KeepingStepProps) {
  const changes = useChanges(isNew ? null : base, card);
  const big = useBigChanges("card", base, card);
  const [meant, setMeant] = useState<string[]>([]);
  const [reason, setReason] = useState(isNew ? words.reasonNew : given);
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<Problem[]>([]);
  useEffect(() => setFailed([]), [stable(card)]); // what failed before is no word about another change
  const errors = problems.filter((p) => p.level === "error");
  const open = big?.some((b) => !meant.includes(change(b)));
  const nothing = !settling && changes?.length === 0;
  const missing = errors.length > 0 || nothing ? "" : open ? words.needConfirm : reasonNeeded && reason.trim() === "" ? words.needReason : "";
  const ready = errors.length === 0 && !nothing && big !== undefined && missing === "";
  const keep = async () => {
    setBusy(true);
    try {
      await onKeep(reason.trim());
      if (!isNew) void rememberReason(words.reasonLabel, reason.trim());
    } catch (e) {
      setFailed(problemsOf(e));
      setBusy(false);
    }
  };
  return { changes, big, meant, setMeant, reason, setReason, busy, problems: failed.length > 0 ? failed : errors, missing, ready, keep };
}

/** One large change: what was meant of one value is not meant of the next one written there. */
function change({ path, from, to }: LargeChange): string {
  return `${path} ${from} ${to}`;
}

export type Step = ReturnType<typeof useKeeping>;

/** The last look before a change is kept: what changes, what changed by a factor of two or more, and why. */
export function Keeping({ copiedFrom, note, onClose, ...of }: KeepingProps) {
  const { card, isNew, settling } = of;
  const step = useKeeping({ ...of, reasonNeeded: true });
  return (
    <Dialog open title={words.look} onClose={onClose} actions={
      <div class="keeping-actions">
        <p class="keeping-missing" aria-live="polite">{step.missing}</p>
        <Button kind="primary" big wide busy={step.busy} disabled={!step.ready} onClick={() => void step.keep()}>{isNew ? words.keepNew : words.keepIt}</Button>
      </div>
    }>
      <ProblemList problems={step.problems} />
      {typeof note === "string" ? <Note>{note}</Note> : note}
      {copiedFrom && <Note>{words.copiedLead(copiedFrom)}</Note>}
      {isNew ? <p>{words.newOne(card.title, techniqueOf(card), nameOf(card.owner))}</p> : <Changes changes={step.changes} settling={settling} />}
      <Meant step={step} />
      {!isNew && <ReasonFields step={step} />}
    </Dialog>
  );
}

/** Large changes are said to be meant, one by one. */
export function Meant({ step: { big, meant, setMeant } }: { step: Step }) {
  if (!big || big.length === 0) return null;
  return (
    <MultiChoice legend={words.confirm} value={meant} onChange={setMeant}
      options={big.map((b) => ({ value: change(b), label: unbroken(words.confirmOne(b.label, b.from, b.to, b.factor)) }))} />
  );
}

/** Why, in one line: the own usual reasons first, then those that are everybody's. */
export function ReasonFields({ step: { reason, setReason }, label = words.reason }: { step: Step; label?: string }) {
  return (
    <>
      <TextField label={label} value={reason} onChange={setReason} maxLength={160} free />
      <IdentityCautions label={words.reasonLabel} of={reason} />
      <div class="row">
        {offeredReasons(usualReasons(), words.reasons).map((r) => <Button key={r} pressed={reason === r} onClick={() => setReason(r)}>{r}</Button>)}
      </div>
    </>
  );
}

function Changes({ changes, settling }: { changes: string[] | null | undefined; settling: boolean }) {
  if (changes === undefined) return <p class="quiet">{words.noCore}</p>;
  if (changes === null) return null;
  if (changes.length === 0) return <p>{settling ? words.settlesOnly : words.nothing}</p>;
  return (
    <section aria-label={words.changes}>
      <h3>{words.changes}</h3>
      <ul class="keeping-changes">{changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>
    </section>
  );
}

/** null while there is nothing to compare with, undefined while the core has not answered. */
function useChanges(base: Card | null, card: Card): string[] | null | undefined {
  const [changes, setChanges] = useState<string[] | undefined>(undefined);
  useEffect(() => {
    if (!base) return;
    let gone = false;
    diff("card", base, card).then((c) => { if (!gone) setChanges(c); }).catch(() => undefined); // keeping says why
    return () => { gone = true; };
  }, [base, card]);
  return base ? changes : null;
}
