import { tongue } from "../../lang/said";
import { Caution, dayShort, Icon, Link, Tag, Time } from "../../parts";
import { allowed } from "../../local/may";
import { docsOf, type Doc, type Person } from "../../state";
import { accounts, type Account } from "../../sync/office";
import { text } from "../../text";
import { textOffice } from "../../text-office";
import { AddPerson } from "./addperson";
import { LeadScreen } from "./lead";
import "./office.css";
import { Shown, useRead } from "./read";

const words = textOffice.people;

/** Everybody of the unit, how they can sign in, and a form for one more. */
export function People() {
  return <LeadScreen title={words.title}><PeopleInside /></LeadScreen>;
}

function PeopleInside() {
  const reading = useRead(accounts, peopleKey());
  return (
    <>
      <section class="stack" aria-labelledby="people">
        <h2 id="people">{words.list}</h2>
        <Shown of={reading}>{(value) => <List all={value.accounts} />}</Shown>
      </section>
      <AddPerson />
    </>
  );
}

/** Changes with every change of a person that this device learns of, so that the accounts are read anew. */
export function peopleKey(): string {
  return docsOf<Person>("person").map((d) => `${d.id} ${d.seq} ${d.waiting}`).join();
}

/** The people who are unit lead and not barred, by their ids. */
export function leadsOf(all: readonly Account[]): string[] {
  const barred = new Set(all.filter((a) => a.barred).map((a) => a.person));
  return docsOf<Person>("person").filter((d) => allowed(d.body.roles, "office") && !barred.has(d.id)).map((d) => d.id);
}

function List({ all }: { all: readonly Account[] }) {
  const byName = docsOf<Person>("person").sort((a, b) => a.body.name.localeCompare(b.body.name, tongue.value.locale));
  return (
    <>
      {leadsOf(all).length === 1 && <Caution>{words.oneLead}</Caution>}
      <ul role="list" class="stack">
        {byName.map((d) => <li key={d.id}><Row of={d} account={all.find((a) => a.person === d.id)} /></li>)}
      </ul>
    </>
  );
}

function Row({ of: d, account }: { of: Doc<Person>; account: Account | undefined }) {
  return (
    <Link href={`/office/people/${d.id}`} class="panel office-row">
      <span class="stack-close">
        <strong class="office-name">{d.body.name}</strong>
        <span class="quiet">{d.body.roles.map((r) => text.roles[r]).join(", ")}</span>
        <span class="row">{account ? <State of={account} /> : <Tag icon="waiting">{text.notOnServer}</Tag>}</span>
      </span>
      <Icon name="forward" />
    </Link>
  );
}

/** How somebody can sign in, in short words. */
export function State({ of: a }: { of: Account }) {
  return (
    <>
      {a.barred && <Tag kind="stop">{words.barred}</Tag>}
      {!a.pin && <Tag kind="notknown">{words.noPIN}</Tag>}
      {a.pin && a.pin_issued && <Tag kind="ok">{words.pinSince(dayShort(a.pin_issued))}</Tag>}
      {a.locked_until && <Tag kind="caution">{words.lockedUntil} <Time at={a.locked_until} /></Tag>}
    </>
  );
}
