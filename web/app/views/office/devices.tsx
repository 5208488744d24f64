import { tongue } from "../../lang/said";
import { useState } from "preact/hooks";
import { Button, Caution, EmptyState, Tag, Time, timeInWords, toast } from "../../parts";
import { enrolled } from "../../state";
import { devices, takeOutOfUse, type OfficeDevice } from "../../sync/office";
import { textOffice } from "../../text-office";
import { nameOf } from "../people";
import { LeadScreen } from "./lead";
import { LetIn } from "./letin";
import "./office.css";
import { Shown, useRead } from "./read";
import { Sure } from "./sure";

const words = textOffice.devices;

/** While a code is on the screen somebody waits for the new device to appear. */
const waitingSeconds = 3;

/** The devices of the unit: which there are, a code for another one, and the end of one. */
export function Devices() {
  return <LeadScreen title={words.title}><DevicesInside /></LeadScreen>;
}

function DevicesInside() {
  const [expecting, setExpecting] = useState(false);
  const reading = useRead(devices, "", expecting ? waitingSeconds : undefined);
  const [ending, setEnding] = useState<OfficeDevice | null>(null);
  const known = reading.read.now === "here" ? reading.read.value.devices : null;
  const ended = (d: OfficeDevice) => {
    setEnding(null);
    toast(words.takenOut(d.name));
    void reading.again();
  };
  return (
    <>
      <LetIn known={known} onExpect={setExpecting} />
      <section class="stack" aria-labelledby="devices">
        <h2 id="devices">{words.list}</h2>
        <Shown of={reading}>{(value) => <List all={value.devices} onEnd={setEnding} />}</Shown>
      </section>
      {ending && (
        <Sure title={words.takeOutOf(ending.name)} loses={losesOf(ending)} what={[...words.takeOutWhat, words.takeOutBack]} reasons={words.reasons} go={words.takeOut} danger
          ask={(reason) => takeOutOfUse(ending.id, reason)} onDone={() => ended(ending)} onClose={() => setEnding(null)} />
      )}
    </>
  );
}

/** What goes with a device, and when it was there last: somebody may be working on it. */
function losesOf({ last_seen: seen }: OfficeDevice): string {
  return [words.takeOutLoses, seen && words.takeOutSeen(timeInWords(seen))].filter(Boolean).join(" ");
}

function List({ all, onEnd }: { all: readonly OfficeDevice[]; onEnd: (d: OfficeDevice) => void }) {
  const byName = [...all].sort((a, b) => a.name.localeCompare(b.name, tongue.value.locale));
  const gone = byName.filter((d) => d.revoked);
  if (all.length === 0) return <EmptyState title={words.none} />;
  return (
    <>
      <ul role="list" class="stack">
        {byName.filter((d) => !d.revoked).map((d) => <li key={d.id}><DevicePart of={d} onEnd={() => onEnd(d)} /></li>)}
      </ul>
      {gone.length > 0 && (
        <details class="office-gone">
          <summary>{words.gone} ({gone.length})</summary>
          <ul role="list" class="stack">{gone.map((d) => <li key={d.id}><DevicePart of={d} /></li>)}</ul>
        </details>
      )}
    </>
  );
}

function DevicePart({ of: d, onEnd }: { of: OfficeDevice; onEnd?: () => void }) {
  const here = d.id === enrolled.value?.id;
  return (
    <article class="panel office-device">
      <h3>{d.name}</h3>
      <div class="row">
        <Tag>{d.shared ? words.shared : words.personal}</Tag>
        {here && <Tag kind="accent">{words.here}</Tag>}
        {d.forked && !d.revoked && <Tag kind="caution">{words.forked}</Tag>}
        {d.revoked && <Tag kind="stop">{words.outOfUse}</Tag>}
      </div>
      {d.revoked && <p><Time at={d.revoked.at} /> {words.by(nameOf(d.revoked.by))}. {d.revoked.reason && textOffice.why(d.revoked.reason)}</p>}
      {d.forked && !d.revoked && <Caution>{words.forkedWhy}</Caution>}
      <Facts of={d} />
      {onEnd && (here ? <p class="quiet">{words.notThis}</p> : <div><Button kind="danger" onClick={onEnd}>{words.takeOut}</Button></div>)}
    </article>
  );
}

function Facts({ of: d }: { of: OfficeDevice }) {
  const build = document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content;
  return (
    <dl class="office-facts">
      <dt>{words.letInOn}</dt>
      <dd><Time at={d.enrolled} /> {d.by ? words.by(nameOf(d.by)) : words.byProgram}</dd>
      <dt>{words.seen}</dt>
      <dd>{d.last_seen ? <Time at={d.last_seen} /> : words.never}</dd>
      {d.build && <><dt>{words.build}</dt><dd>{d.build === build ? words.buildHere : d.build.slice(0, 8)}</dd></>}
    </dl>
  );
}
