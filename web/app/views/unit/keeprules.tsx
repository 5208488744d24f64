import { useEffect, useState } from "preact/hooks";
import type { RuleBook } from "../../generated/types";
import { Button, Dialog, ProblemList, TextField } from "../../parts";
import type { Problem } from "../../state";
import { textUnit } from "../../text-unit";
import { changesBetween } from "../edit/diff";
import { IdentityCautions } from "../edit/identity";
import { problemsOf } from "../edit/problems";

const words = textUnit.rules;

interface KeepProps {
  book: RuleBook;
  base: RuleBook;
  problems: readonly Problem[];
  onKeep: (reason: string) => Promise<void>;
  onClose: () => void;
}

/** The last look before a change of the house rules is kept: what changes, and why. */
export function KeepRules({ book, base, problems, onKeep, onClose }: KeepProps) {
  const changes = useChanges(base, book);
  const [reason, setReason] = useState("");
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<Problem[]>([]);
  const errors = problems.filter((p) => p.level === "error");
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
        <Button kind="primary" big wide busy={busy} disabled={errors.length > 0 || reason.trim() === ""} onClick={() => void keep()}>{words.keepIt}</Button>
      </div>
    }>
      <ProblemList problems={failed.length > 0 ? failed : errors} />
      {changes === null ? <p class="quiet">{words.noCore}</p> : (
        <section aria-label={words.changes}>
          <h3>{words.changes}</h3>
          <ul class="keeping-changes">{changes.map((c) => <li key={c}>{c}</li>)}</ul>
        </section>
      )}
      <TextField label={words.reason} value={reason} onChange={setReason} maxLength={160} free />
      <IdentityCautions label={words.reasonLabel} of={reason} />
      <div class="row">{words.reasons.map((r) => <Button key={r} pressed={reason === r} onClick={() => setReason(r)}>{r}</Button>)}</div>
    </Dialog>
  );
}

/** null while the core has not answered. */
export function useChanges(from: RuleBook | null, to: RuleBook): string[] | null {
  const [changes, setChanges] = useState<string[] | null>(null);
  useEffect(() => {
    if (!from) return;
    let gone = false;
    changesBetween("rules", from, to).then((c) => { if (!gone) setChanges(c); }, () => undefined); // keeping says why
    return () => { gone = true; };
  }, [from, to]);
  return changes;
}
