import { useEffect, useState } from "preact/hooks";
import { Button, Caution, Note, ProblemList, TextField } from "../../parts";
import { makeCode, type NewCode, type OfficeDevice } from "../../sync/office";
import { textDoor } from "../../text-door";
import { textOffice } from "../../text-office";
import { useTrying } from "../answered";
import { IdentityCautions } from "../edit/identity";
import { Once } from "../once";
import { QRCode } from "../qrcode";
import { DeviceKind } from "../setupunit";

const words = textOffice.devices;

interface Made extends NewCode {
  name: string;
  /** When it runs out, by the clock of this page, which nobody sets. */
  until: number;
  /** The devices there were when it was made. */
  before: ReadonlySet<string>;
}

interface LetInProps {
  /** The devices there are; null while nobody can say. */
  known: readonly OfficeDevice[] | null;
  /** Told whether a code is on the screen and its device has not come yet. */
  onExpect: (expecting: boolean) => void;
}

/** Makes a code for one more device and says what to do with it. */
export function LetIn({ known, onExpect }: LetInProps) {
  const [made, setMade] = useState<Made | null>(null);
  const arrived = made && known?.find((d) => d.name === made.name && !made.before.has(d.id));
  useEffect(() => onExpect(made !== null && !arrived), [made, !arrived]);
  return (
    <section class="stack" aria-labelledby="letin">
      <h2 id="letin">{words.letIn}</h2>
      {made
        ? <CodePart of={made} arrived={Boolean(arrived)} onClose={() => setMade(null)} />
        : <Form known={known} onMade={setMade} />}
    </section>
  );
}

function Form({ known, onMade }: { known: LetInProps["known"]; onMade: (made: Made) => void }) {
  const [name, setName] = useState("");
  const [kind, setKind] = useState("");
  const [tried, setTried] = useState(false);
  const { busy, problem, held, go } = useTrying();
  const called = name.trim();
  const taken = known?.some((d) => !d.revoked && !d.forked && d.name.toLowerCase() === called.toLowerCase());
  const nameProblem = called === "" ? words.needName : taken ? words.taken : null;
  const submit = async (e: Event) => {
    e.preventDefault();
    setTried(true);
    if (!known || busy || held > 0 || nameProblem || kind === "") return;
    const answer = await go(() => makeCode(called, kind === "shared"));
    if (answer) onMade({ ...answer, name: called, until: performance.now() + answer.seconds * 1000, before: new Set(known.map((d) => d.id)) });
  };
  return (
    <form class="stack" onSubmit={(e) => void submit(e)}>
      <p class="quiet">{words.letInLead}</p>
      <TextField label={words.name} hint={textDoor.deviceHint} value={name} onChange={setName} maxLength={60} problem={tried ? nameProblem : null} />
      <IdentityCautions label={words.name} of={name} />
      <DeviceKind value={kind} onChange={setKind} problem={tried && kind === "" ? textDoor.setup.needKind : null} />
      <ProblemList title={textOffice.notDone} problems={problem ? [{ text: problem }] : []} />
      <div><Button icon="plus" submit busy={busy} disabled={!known || held > 0}>{held > 0 ? textDoor.again(held) : words.makeCode}</Button></div>
    </form>
  );
}

function CodePart({ of: made, arrived, onClose }: { of: Made; arrived: boolean; onClose: () => void }) {
  const left = useMinutesTo(made.until);
  const ours = ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);
  if (arrived) return <div class="panel stack"><p role="status">{words.codeIn(made.name)}</p><div><Button kind="primary" onClick={onClose}>{words.done}</Button></div></div>;
  return (
    <div class="panel stack">
      <h3>{words.codeTitle(made.name)}</h3>
      {ours && <Note>{words.loopback}</Note>}
      <div class="office-ways">
        <div class="stack">
          <p>{words.codeOpen} <strong>{location.origin}</strong></p>
          <p>{words.codeType}</p>
          <Once label={textDoor.code}>{made.code}</Once>
        </div>
        <div class="stack">
          <p>{words.codeScan}</p>
          <QRCode address={enrolAddress(made.code)} label={words.codePicture} class="office-code" />
        </div>
      </div>
      {left > 0 ? <p>{words.codeLeft(left)}</p> : <Caution>{words.codeOver}</Caution>}
      <div><Button onClick={onClose}>{words.done}</Button></div>
    </div>
  );
}

/** Where a device is let in. The code stands in the fragment, which no request carries and no log holds. */
function enrolAddress(code: string): string {
  return `${location.origin}/enrol#${code}`;
}

/** Whole minutes to a time of the page's own clock, the one under way counted; 0 when it is over. */
function useMinutesTo(until: number): number {
  const left = () => Math.max(0, Math.ceil((until - performance.now()) / 60_000));
  const [minutes, setMinutes] = useState(left);
  useEffect(() => {
    setMinutes(left());
    const timer = setInterval(() => setMinutes(left()), 2_000);
    return () => clearInterval(timer);
  }, [until]);
  return minutes;
}
