import { useState } from "preact/hooks";
import { Button, Caution, Choice, Note, ProblemList, Screen, TextField, toast } from "../parts";
import { isWhole } from "../local/code";
import { go } from "../router";
import { becomeEnrolled, setMe } from "../state";
import type { SetUp } from "../sync/protocol";
import { post } from "../sync/request";
import { textDoor } from "../text-door";
import { useTrying } from "./answered";
import { CodeField } from "./codefield";
import { Once, pinShown } from "./once";
import "./door.css";
import { LanguageChoice } from "./language";

const words = textDoor.setup;

/** The first screen of an empty server. It stays until the PIN was written down. */
export function SetUpView() {
  const [done, setDone] = useState<SetUp | null>(null);
  return done ? <FirstPIN of={done} /> : <Form onDone={setDone} />;
}

function Form({ onDone }: { onDone: (done: SetUp) => void }) {
  const [code, setCode] = useState("");
  const [unit, setUnit] = useState("");
  const [name, setName] = useState("");
  const [device, setDevice] = useState("");
  const [kind, setKind] = useState("");
  const [tried, setTried] = useState(false);
  const { busy, problem, held, go: attempt } = useTrying();
  const missing = (value: string) => (tried && value.trim() === "" ? words.needed : null);
  const submit = async (e: Event) => {
    e.preventDefault();
    setTried(true);
    if (busy || held > 0 || !isWhole(code) || [unit, name, device, kind].some((v) => v.trim() === "")) return;
    const body = { code, unit: unit.trim(), name: name.trim(), device_name: device.trim(), shared: kind === "shared" };
    const answer = await attempt(() => post<SetUp>("/api/v1/setup", body));
    if (answer) onDone(answer);
  };
  return (
    <Screen title={words.title}>
      <p>{words.lead}</p>
      <LanguageChoice />
      <form class="stack" onSubmit={(e) => void submit(e)}>
        <CodeField label={words.code} hint={words.codeHint} value={code} onChange={setCode} tried={tried} />
        <TextField label={words.unit} value={unit} onChange={setUnit} maxLength={80} problem={missing(unit)} />
        <TextField label={words.name} hint={words.nameHint} value={name} onChange={setName} maxLength={80} problem={missing(name)} />
        <TextField label={textDoor.device} hint={textDoor.deviceHint} value={device} onChange={setDevice} maxLength={60} problem={missing(device)} />
        <DeviceKind value={kind} onChange={setKind} problem={tried && kind === "" ? words.needKind : null} />
        <ProblemList title={textDoor.notSetUp} problems={problem ? [{ text: problem }] : []} />
        <div><Button kind="primary" submit busy={busy} disabled={held > 0}>{held > 0 ? textDoor.again(held) : words.go}</Button></div>
      </form>
    </Screen>
  );
}

/** Shared by the people of a room, or one person's own. */
export function DeviceKind({ value, onChange, problem }: { value: string; onChange: (kind: string) => void; problem: string | null }) {
  const options = Object.entries(textDoor.kinds).map(([kind, { label, hint }]) => ({ value: kind, label, hint }));
  return <Choice legend={textDoor.whose} options={options} value={value} onChange={onChange} problem={problem} even />;
}

function FirstPIN({ of }: { of: SetUp }) {
  const [busy, setBusy] = useState(false);
  const on = () => {
    setBusy(true);
    becomeEnrolled(of.device).then(() => setMe(of.person)).then(
      () => go("/person"),
      () => toast(textDoor.notRemembered, { stays: true }),
    ).finally(() => setBusy(false));
  };
  return (
    <Screen title={words.pinTitle}>
      <p>{words.pinLead}</p>
      <Once label={words.pinTitle}>{pinShown(of.pin)}</Once>
      <Caution word={textDoor.once}>{words.pinKeep}</Caution>
      <p>{words.pinNext}</p>
      <Note>{words.second}</Note>
      <div><Button kind="primary" busy={busy} onClick={on}>{words.pinDone}</Button></div>
    </Screen>
  );
}
