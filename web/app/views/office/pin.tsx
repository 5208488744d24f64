import { useState } from "preact/hooks";
import { Button, Caution, Dialog, dayShort, Note, ProblemList, Screen } from "../../parts";
import { session } from "../../state";
import { issuePIN, type Account } from "../../sync/office";
import { textOffice } from "../../text-office";
import { useTrying } from "../answered";
import { Once, pinShown } from "../once";

const words = textOffice.people;

interface PINPartProps {
  name: string;
  of: Account;
  onIssued: (pin: string) => void;
}

/** Whether a person has a PIN, and the way to another one. */
export function PINPart({ name, of: a, onIssued }: PINPartProps) {
  const [asking, setAsking] = useState(false);
  return (
    <section class="panel stack" aria-labelledby="pin">
      <h2 id="pin">{words.pin}</h2>
      <p class="quiet">{words.pinLead}</p>
      <p>{a.pin && a.pin_issued ? words.pinSince(dayShort(a.pin_issued)) : words.noPIN}</p>
      {a.locked_until && <Note>{words.locked}</Note>}
      {a.barred
        ? <p>{words.admitFirst}</p>
        : <div><Button kind={a.pin ? "plain" : "primary"} onClick={() => setAsking(true)}>{a.pin ? words.issueNew : words.issue}</Button></div>}
      {asking && <Issue name={name} of={a} onIssued={onIssued} onClose={() => setAsking(false)} />}
    </section>
  );
}

function Issue({ name, of: a, onIssued, onClose }: PINPartProps & { onClose: () => void }) {
  const { busy, problem, held, go } = useTrying();
  const issue = async () => {
    const answer = await go(() => issuePIN(a.person));
    if (answer) onIssued(answer.pin);
  };
  const actions = (
    <>
      <Button onClick={onClose}>{textOffice.cancel}</Button>
      <Button kind="primary" busy={busy} disabled={held > 0} onClick={() => void issue()}>{words.issueDo}</Button>
    </>
  );
  return (
    <Dialog title={words.issueFor(name)} open onClose={onClose} actions={actions}>
      <p>{words.issueFirst}</p>
      {a.pin && <Caution>{session.value?.person === a.person ? words.issueSelf : words.issueAgain}</Caution>}
      <ProblemList title={textOffice.notDone} problems={problem ? [{ text: problem }] : []} />
    </Dialog>
  );
}

/** A PIN that was issued, as a screen of its own: nothing closes it by a slip, and it stays where the lead's own PIN ended the lead's session. */
export function IssuedPIN({ name, pin, onDone }: { name: string; pin: string; onDone: () => void }) {
  return (
    <Screen title={words.pinOf(name)}>
      <Once label={words.pinOf(name)}>{pinShown(pin)}</Once>
      <Caution>{words.pinHand}</Caution>
      <div><Button kind="primary" onClick={onDone}>{words.pinDone}</Button></div>
    </Screen>
  );
}
