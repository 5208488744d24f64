import { tongue } from "../../lang/said";
import { useState } from "preact/hooks";
import { Button, EmptyState, Icon, Time } from "../../parts";
import { docsOf, type Person } from "../../state";
import { audit, auditFile, devices, type Audit as Page, type Heads, type OfficeDevice, type OfficeEvent } from "../../sync/office";
import { textOffice } from "../../text-office";
import { wordsOf } from "../answered";
import { Select } from "../edit/fields";
import { nameOf } from "../people";
import { joined } from "./events";
import { LeadScreen } from "./lead";
import "./office.css";
import { Shown, useRead } from "./read";

const words = textOffice.audit;

/** Who did what, from which device, and when. */
export function Audit() {
  return <LeadScreen title={words.title}><AuditInside /></LeadScreen>;
}

function AuditInside() {
  const [person, setPerson] = useState("");
  const [device, setDevice] = useState("");
  const named = useRead(devices);
  const all = named.read.now === "here" ? named.read.value.devices : [];
  const people = docsOf<Person>("person").map((d) => ({ value: d.id, label: d.body.name })).sort((a, b) => a.label.localeCompare(b.label, tongue.value.locale));
  return (
    <>
      <p>{words.lead}</p>
      <div class="office-filter">
        <Select label={words.person} value={person} none={words.everybody} options={people} onChange={setPerson} />
        <Select label={words.device} value={device} none={words.everyDevice} options={all.map((d) => ({ value: d.id, label: d.name }))} onChange={setDevice} />
      </div>
      <Events key={`${person} ${device}`} person={person} device={device} all={all} />
    </>
  );
}

interface EventsProps {
  person: string;
  device: string;
  all: readonly OfficeDevice[];
}

function Events({ person, device, all }: EventsProps) {
  const [known, setKnown] = useState<{ events: OfficeEvent[]; more: boolean }>({ events: [], more: false });
  const [refusal, setRefusal] = useState("");
  const newest = async () => {
    const reply = await audit({ person, device });
    if (reply.kind === "answer") setKnown((k) => joined(k, reply.value));
    return reply;
  };
  const older = async () => {
    const reply = await audit({ person, device, before: known.events[known.events.length - 1]?.seq ?? 0 });
    if (reply.kind !== "answer") return setRefusal(wordsOf(reply));
    setRefusal("");
    setKnown((k) => ({ events: [...k.events, ...reply.value.events], more: reply.value.more }));
  };
  const reading = useRead<Page>(newest);
  return (
    <Shown of={reading}>{({ heads }) => (
      <>
        {known.events.length === 0 && <EmptyState title={words.nothing} />}
        <ol role="list">{known.events.map((e) => <li key={e.seq} class="office-event"><EventPart of={e} all={all} /></li>)}</ol>
        {refusal && <p role="alert"><Icon name="caution" /> {refusal}</p>}
        {known.more && <div><Button onClick={() => void older()}>{words.more}</Button></div>}
        <Export />
        <Ends of={heads} />
      </>
    )}</Shown>
  );
}

function EventPart({ of: e, all }: { of: OfficeEvent; all: readonly OfficeDevice[] }) {
  const named = (id: string) => all.find((d) => d.id === id)?.name;
  const about = e.about && e.about !== e.who && e.about !== e.device ? named(e.about) ?? nameOf(e.about) : "";
  return (
    <article class="stack-close">
      <h2>{words.what[e.what] ?? e.what}{about && `: ${about}`}</h2>
      {e.detail && <p>{words.details[e.detail] ?? e.detail}</p>}
      <p class="quiet">
        <Time at={e.at} /> · {e.who ? nameOf(e.who) : words.nobody} · {e.device ? words.on(named(e.device) ?? e.device.slice(0, 8)) : words.noDevice} · {e.seq}
      </p>
    </article>
  );
}

function Export() {
  return (
    <section class="panel stack-close" aria-labelledby="export">
      <h2 id="export">{words.export}</h2>
      <p>{words.exportWhy}</p>
      <div><a class="button button-plain" href={auditFile} download><Icon name="save" /><span>{words.exportDo}</span></a></div>
    </section>
  );
}

function Ends({ of }: { of: Heads }) {
  return (
    <section class="panel stack-close" aria-labelledby="ends">
      <h2 id="ends">{words.heads}</h2>
      <p>{words.headsWhy}</p>
      <dl class="stack-close">
        <dt>{words.headEdits(of.seq)}</dt>
        <dd class="office-seal">{of.head || words.headNone}</dd>
        <dt>{words.headEvents(of.event_seq)}</dt>
        <dd class="office-seal">{of.event_head || words.headNone}</dd>
      </dl>
    </section>
  );
}
