import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Card } from "../../generated/types";
import { Button, Dialog, MultiChoice, Note, ProblemList, TextField } from "../../parts";
import { diff, type Problem } from "../../state";
import { textCase } from "../../text-case";
import { techniqueOf } from "../cardwords";
import { unbroken } from "../names";
import { nameOf } from "../people";
import { useBigChanges } from "./big";
import { IdentityCautions } from "./identity";
import { problemsOf } from "./problems";

const words = textCase.edit;

interface KeepingProps {
  card: Card;
  /** What the change is compared with; null for a card that starts empty. */
  base: Card | null;
  /** The title of the card this one was copied from. */
  copiedFrom: string | null;
  isNew: boolean;
  /** The edit answers an open question, which is a change even where no value changes. */
  settling: boolean;
  problems: readonly Problem[];
  /** The reason to begin with. */
  reason?: string;
  /** What has to be known before it is kept. */
  note?: ComponentChildren;
  onKeep: (reason: string) => Promise<void>;
  onClose: () => void;
}

/** The last look before a change is kept: what changes, what changed by a factor of two or more, and why. */
export function Keeping({ card, base, copiedFrom, isNew, settling, problems, reason: given = "", note, onKeep, onClose }: KeepingProps) {
  const changes = useChanges(isNew ? null : base, card);
  const big = useBigChanges("card", base, card);
  const [meant, setMeant] = useState<string[]>([]);
  const [reason, setReason] = useState(isNew ? words.reasonNew : given);
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<Problem[]>([]);
  const errors = problems.filter((p) => p.level === "error");
  const open = big?.some((b) => !meant.includes(b.path));
  const nothing = !settling && changes?.length === 0;
  const missing = errors.length > 0 || nothing ? "" : open ? words.needConfirm : reason.trim() === "" ? words.needReason : "";
  const ready = errors.length === 0 && !nothing && big !== undefined && missing === "";
  const keep = async () => {
    setBusy(true);
    try {
      await onKeep(reason.trim());
    } catch (e) {
      setFailed(problemsOf(e));
      setBusy(false);
    }
  };
  return (
    <Dialog open title={words.look} onClose={onClose} actions={
      <div class="keeping-actions">
        <p class="keeping-missing" aria-live="polite">{missing}</p>
        <Button kind="primary" big wide busy={busy} disabled={!ready} onClick={() => void keep()}>{isNew ? words.keepNew : words.keepIt}</Button>
      </div>
    }>
      <ProblemList problems={failed.length > 0 ? failed : errors} />
      {typeof note === "string" ? <Note>{note}</Note> : note}
      {copiedFrom && <Note>{words.copiedLead(copiedFrom)}</Note>}
      {isNew ? <p>{words.newOne(card.title, techniqueOf(card), nameOf(card.owner))}</p> : <Changes changes={changes} settling={settling} />}
      {big && big.length > 0 && (
        <MultiChoice legend={words.confirm} value={meant} onChange={setMeant}
          options={big.map((b) => ({ value: b.path, label: unbroken(words.confirmOne(b.label, b.from, b.to, b.factor)) }))} />
      )}
      {!isNew && <>
        <TextField label={words.reason} value={reason} onChange={setReason} maxLength={160} free />
        <IdentityCautions label={words.reasonLabel} of={reason} />
        <div class="row">
          {words.reasons.map((r) => <Button key={r} pressed={reason === r} onClick={() => setReason(r)}>{r}</Button>)}
        </div>
      </>}
    </Dialog>
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
