import { useState } from "preact/hooks";
import { Button, Caution, Choice, Dialog, ProblemList, TextField } from "../../parts";
import type { Reply } from "../../sync/request";
import { textOffice } from "../../text-office";
import { useTrying } from "../answered";
import { IdentityCautions } from "../edit/identity";
import "./office.css";

interface SureProps {
  title: string;
  /** What happens then, plainly, one thing each. */
  what: readonly string[];
  /** What is lost by it and cannot be got back. */
  loses?: string;
  /** The usual reasons; without them none is asked for. */
  reasons?: readonly string[];
  go: string;
  danger?: boolean;
  ask: (reason: string) => Promise<Reply<object>>;
  onDone: () => void;
  onClose: () => void;
}

/** Asks once more before a door is shut or opened, says what happens then, and takes the reason. */
export function Sure({ title, what, loses, reasons, go: label, danger, ask, onDone, onClose }: SureProps) {
  const [usual, setUsual] = useState("");
  const [own, setOwn] = useState("");
  const [tried, setTried] = useState(false);
  const { busy, problem, held, go } = useTrying();
  const reason = own.trim() || usual;
  const press = async () => {
    setTried(true);
    if ((reason || !reasons) && (await go(() => ask(reason)))) onDone();
  };
  const actions = (
    <>
      <Button onClick={onClose}>{textOffice.cancel}</Button>
      <Button kind={danger ? "danger" : "primary"} busy={busy} disabled={held > 0} onClick={() => void press()}>{label}</Button>
    </>
  );
  return (
    <Dialog title={title} open onClose={onClose} actions={actions}>
      {loses && <Caution>{loses}</Caution>}
      <ul class="office-list">{what.map((t) => <li key={t}>{t}</li>)}</ul>
      {reasons && <>
        <Choice legend={textOffice.reason} options={reasons} value={usual} onChange={setUsual} problem={tried && !reason ? textOffice.needReason : null} />
        <TextField label={textOffice.ownReason} value={own} onChange={setOwn} maxLength={200} free />
        <IdentityCautions label={textOffice.ownReason} of={own} />
      </>}
      <ProblemList title={textOffice.notDone} problems={problem ? [{ text: problem }] : []} />
    </Dialog>
  );
}
