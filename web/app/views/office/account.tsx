import { useState } from "preact/hooks";
import type { PersonRole } from "../../generated/types";
import { Button, EmptyState, ProblemList, Stop, TextField, toast } from "../../parts";
import { allowed } from "../../local/may";
import { route } from "../../router";
import { doc, keep, session, type Doc, type Person, type Problem } from "../../state";
import { accounts, bar, takeProofs, type Account } from "../../sync/office";
import { text } from "../../text";
import { textOffice } from "../../text-office";
import { RolesChoice, refusedBy } from "./addperson";
import { LeadScreen } from "./lead";
import { leadsOf, peopleKey, State } from "./people";
import { IssuedPIN, PINPart } from "./pin";
import { Shown, useRead } from "./read";
import { Sure } from "./sure";

const words = textOffice.people;

/** One person: the roles, the ways to sign in, and whether they may at all. */
export function PersonAccount() {
  const id = route.value.parts[2] ?? "";
  const of = doc<Person>("person", id);
  const [pin, setPIN] = useState<string | null>(null);
  if (of && pin !== null) return <IssuedPIN name={of.body.name} pin={pin} onDone={() => setPIN(null)} />;
  return (
    <LeadScreen title={of?.body.name ?? words.title} back={{ href: "/office/people", label: words.title }}>
      {of ? <PersonInside of={of} onPIN={setPIN} /> : <EmptyState title={words.notThere}><p>{words.notThereWhy}</p></EmptyState>}
    </LeadScreen>
  );
}

type Asking = "bar" | "admit" | "proofs";

function PersonInside({ of, onPIN }: { of: Doc<Person>; onPIN: (pin: string) => void }) {
  const reading = useRead(accounts, peopleKey());
  const [asking, setAsking] = useState<Asking | null>(null);
  const { name } = of.body;
  const done = (words: string) => {
    toast(words);
    setAsking(null);
    void reading.again();
  };
  return (
    <>
      <Shown of={reading}>{({ accounts: all }) => {
        const account = all.find((a) => a.person === of.id);
        if (!account) return <p role="status">{words.waits}</p>;
        return (
          <>
            <div class="row"><State of={account} /></div>
            <PINPart name={name} of={account} onIssued={onPIN} />
            <NameAndRoles of={of} only={leadsOf(all).join() === of.id} />
            <OtherWays of={account} onTake={() => setAsking("proofs")} />
            <Access of={account} onAsk={setAsking} />
          </>
        );
      }}</Shown>
      {asking === "bar" && <Sure title={words.barOf(name)} what={words.barWhat} reasons={words.barReasons} go={words.bar} danger
        ask={(reason) => bar(of.id, true, reason)} onDone={() => done(words.wasBarred(name))} onClose={() => setAsking(null)} />}
      {asking === "admit" && <Sure title={words.admitOf(name)} what={[words.admitWhat]} reasons={words.admitReasons} go={words.admit}
        ask={(reason) => bar(of.id, false, reason)} onDone={() => done(words.admitted(name))} onClose={() => setAsking(null)} />}
      {asking === "proofs" && <Sure title={words.takeProofsOf(name)} what={[words.takeProofsWhat]} go={words.takeProofs} danger
        ask={() => takeProofs(of.id)} onDone={() => done(words.proofsTaken(name))} onClose={() => setAsking(null)} />}
    </>
  );
}

/** A person's name and roles. Changing them is an edit, kept with its author like any other. */
function NameAndRoles({ of, only }: { of: Doc<Person>; only: boolean }) {
  const [draft, setDraft] = useState<{ name: string; roles: PersonRole[]; from: Doc<Person> } | null>(null);
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Problem[]>([]);
  const { name, roles } = draft ?? of.body;
  const change = (part: { name?: string; roles?: PersonRole[] }) => setDraft({ name, roles, from: draft?.from ?? of, ...part });
  const nameProblem = name.trim() === "" ? text.personNeedName : null;
  const last = only && !allowed(roles, "office") ? words.lastLead : null;
  const rolesProblem = last ?? (roles.length === 0 ? text.personNeedRole : null);
  const keepThem = async () => {
    if (!draft || nameProblem || rolesProblem) return;
    setBusy(true);
    setRefusal([]);
    try {
      await keep({ kind: "person", doc: of.id, body: { ...draft.from.body, name: name.trim(), roles }, reason: words.changedReason(name.trim()), from: draft.from });
      toast(words.changedKept(name.trim()));
      setDraft(null);
    } catch (e) {
      setRefusal(refusedBy(e));
    } finally {
      setBusy(false);
    }
  };
  return (
    <section class="panel stack" aria-labelledby="roles">
      <h2 id="roles">{words.nameAndRoles}</h2>
      <TextField label={text.personName} value={name} onChange={(n) => change({ name: n })} maxLength={80} problem={nameProblem} />
      <RolesChoice value={roles} onChange={(next) => change({ roles: next })} problem={rolesProblem} />
      <ProblemList problems={refusal} />
      {draft && <div><Button kind="primary" busy={busy} onClick={() => void keepThem()}>{words.keepThem}</Button></div>}
    </section>
  );
}

function OtherWays({ of: a, onTake }: { of: Account; onTake: () => void }) {
  return (
    <section class="panel stack-close" aria-labelledby="other">
      <h2 id="other">{words.other}</h2>
      <dl class="office-facts">
        <dt>{words.passkeys}</dt>
        <dd>{a.passkeys}</dd>
        <dt>{words.sso}</dt>
        <dd>{a.oidc ? words.ssoYes : words.ssoNo}</dd>
      </dl>
      <div><Button kind="danger" onClick={onTake}>{words.takeProofs}</Button></div>
    </section>
  );
}

function Access({ of: a, onAsk }: { of: Account; onAsk: (what: Asking) => void }) {
  const self = session.value?.person === a.person;
  return (
    <section class="panel stack" aria-labelledby="access">
      <h2 id="access">{words.access}</h2>
      {a.barred ? <Stop word={words.barredWord}>{words.accessBarred} {textOffice.why(a.barred.reason)}</Stop> : <p>{words.accessOpen}</p>}
      {self && <p class="quiet">{words.notSelf}</p>}
      {!self && (a.barred
        ? <div><Button onClick={() => onAsk("admit")}>{words.admit}</Button></div>
        : <div><Button kind="danger" onClick={() => onAsk("bar")}>{words.bar}</Button></div>)}
    </section>
  );
}
