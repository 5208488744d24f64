import { useState } from "preact/hooks";
import type { PersonRole } from "../../generated/types";
import { personRoles } from "../../generated/vocabulary";
import { Button, MultiChoice, ProblemList, TextField, toast } from "../../parts";
import { docsOf, keep, NotKept, type Person, type Problem } from "../../state";
import { text } from "../../text";
import { textOffice } from "../../text-office";
import { go } from "../../router";

const words = textOffice.people;

/** Adds a person to the unit by an edit of the unit lead's, like any other change. */
export function AddPerson() {
  const [name, setName] = useState("");
  const [roles, setRoles] = useState<PersonRole[]>([]);
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Problem[]>([]);
  const taken = docsOf<Person>("person").map((d) => d.body);
  const called = name.trim();
  const nameProblem = complaint(called, taken);
  const add = async () => {
    setTried(true);
    setRefusal([]);
    if (nameProblem || roles.length === 0) return;
    setBusy(true);
    const id = idFor(called, taken);
    try {
      await keep({ kind: "person", doc: id, body: { id, name: called, roles }, reason: text.personReason(called) });
      toast(words.added(called));
      go(`/office/people/${id}`);
    } catch (e) {
      setRefusal(refusedBy(e));
    } finally {
      setBusy(false);
    }
  };
  return (
    <section class="stack" aria-labelledby="add">
      <h2 id="add">{words.add}</h2>
      <TextField label={text.personName} hint={text.personNameHint} value={name} onChange={setName} maxLength={80} problem={tried ? nameProblem : null} />
      <RolesChoice value={roles} onChange={setRoles} problem={tried && roles.length === 0 ? text.personNeedRole : null} />
      <ProblemList problems={refusal} />
      <div><Button icon="plus" busy={busy} onClick={() => void add()}>{words.addDo}</Button></div>
    </section>
  );
}

const roleOptions = () => personRoles.map((value) => ({ value, label: text.roles[value], hint: text.roleHints[value] }));

interface RolesChoiceProps {
  value: readonly PersonRole[];
  onChange: (roles: PersonRole[]) => void;
  problem: string | null;
}

/** What a person does in the unit, in the order in which the unit meets the roles. */
export function RolesChoice({ value, onChange, problem }: RolesChoiceProps) {
  return (
    <MultiChoice legend={text.personRoles} options={roleOptions()} even value={value} problem={problem}
      onChange={(chosen) => onChange(personRoles.filter((r) => chosen.includes(r)))} />
  );
}

/** Why an edit was not kept, one line each. */
export function refusedBy(e: unknown): Problem[] {
  if (e instanceof NotKept && e.problems.length > 0) return e.problems;
  return [{ level: "error", code: "refused", path: "", text: e instanceof NotKept ? e.message : text.notKept }];
}

function complaint(name: string, taken: readonly Person[]): string | null {
  if (name === "") return text.personNeedName;
  return taken.some((p) => p.name.toLowerCase() === name.toLowerCase()) ? words.nameTaken : null;
}

/** An id people can read, proposed from the name. The core says whether it may stand. */
function idFor(name: string, taken: readonly Person[]): string {
  const plain = name.normalize("NFKD").toLowerCase().replace(/\p{M}/gu, "");
  const base = plain.replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 50).replace(/-+$/, "") || "person";
  let id = base;
  for (let n = 2; taken.some((p) => p.id === id); n++) id = `${base}-${n}`;
  return id;
}
