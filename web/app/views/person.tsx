import { useState } from "preact/hooks";
import type { PersonRole } from "../generated/types";
import { personRoles } from "../generated/vocabulary";
import { Button, Choice, MultiChoice, Note, ProblemList, Screen, TextField, toast } from "../parts";
import { back } from "../router";
import { docsOf, keep, me, NotKept, setMe, type Person, type Problem } from "../state";
import { text } from "../text";
import { nameOf } from "./people";

const nobody = "";

/** Who is editing on this device. */
export function PersonView() {
  const people = docsOf<Person>("person").map((d) => d.body).sort((a, b) => a.name.localeCompare(b.name, "en"));
  const [refusal, setRefusal] = useState<Problem[]>([]);
  const choose = (id: string) => {
    setRefusal([]);
    setMe(id || null).then(
      () => toast(id ? text.personChosen(nameOf(id)) : text.personForget),
      () => setRefusal([problem(text.personNotChosen)]),
    );
  };
  return (
    <Screen title={text.personTitle}>
      <p>{text.personLead}</p>
      <Note>{text.personNoSignIn}</Note>
      <Choice legend={text.personChoose} value={me.value ?? nobody} onChange={choose} notKnown={nobody} big even
        options={[...people.map(asOption), { value: nobody, label: text.personNone }]} />
      <ProblemList problems={refusal} title={text.personSame} />
      {me.value && <div><Button kind="primary" onClick={back}>{text.personDone}</Button></div>}
      <AddPerson taken={people} />
    </Screen>
  );
}

function asOption(p: Person) {
  const roles = p.roles.map((r) => text.roles[r]).join(", ");
  return { value: p.id, label: p.name, hint: p.invented ? `${roles} (${text.invented})` : roles };
}

const roleOptions = personRoles.map((value) => ({ value, label: text.roles[value], hint: text.roleHints[value] }));

function AddPerson({ taken }: { taken: readonly Person[] }) {
  const [name, setName] = useState("");
  const [roles, setRoles] = useState<PersonRole[]>([]);
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Problem[]>([]);
  const nameProblem = complaint(name.trim(), taken);

  const add = async () => {
    setTried(true);
    setRefusal([]);
    if (nameProblem || roles.length === 0) return;
    setBusy(true);
    try {
      await keepPerson({ id: idFor(name.trim(), taken), name: name.trim(), roles });
      toast(text.personChosen(name.trim()));
      setName("");
      setRoles([]);
      setTried(false);
    } catch (e) {
      setRefusal(e instanceof NotKept && e.problems.length > 0 ? e.problems : [refused(e)]);
    } finally {
      setBusy(false);
    }
  };
  return (
    <section class="stack" aria-labelledby="add">
      <h2 id="add">{text.personAdd}</h2>
      <TextField label={text.personName} hint={text.personNameHint} value={name} onChange={setName} maxLength={80} problem={tried ? nameProblem : null} />
      <MultiChoice legend={text.personRoles} options={roleOptions} even value={roles} onChange={(chosen) => setRoles(personRoles.filter((r) => chosen.includes(r)))}
        problem={tried && roles.length === 0 ? text.personNeedRole : null} />
      <ProblemList problems={refusal} />
      <div><Button icon="plus" busy={busy} onClick={() => void add()}>{text.personAddDo}</Button></div>
    </section>
  );
}

/** The new person is the author of the edit that adds them; if it is not kept, the one before stays chosen. */
async function keepPerson(p: Person): Promise<void> {
  const before = me.peek();
  await setMe(p.id);
  try {
    await keep({ kind: "person", doc: p.id, body: p, reason: text.personReason(p.name) });
  } catch (e) {
    await setMe(before);
    throw e;
  }
}

function refused(e: unknown): Problem {
  return problem(e instanceof NotKept ? e.message : text.notKept);
}

function problem(words: string): Problem {
  return { level: "error", code: "refused", path: "", text: words };
}

function complaint(name: string, taken: readonly Person[]): string | null {
  if (name === "") return text.personNeedName;
  return taken.some((p) => p.name.toLowerCase() === name.toLowerCase()) ? text.personTaken : null;
}

/** An id people can read, proposed from the name. The core says whether it may stand. */
function idFor(name: string, taken: readonly Person[]): string {
  const plain = name.normalize("NFKD").toLowerCase().replace(/\p{M}/gu, "");
  const base = plain.replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 50).replace(/-+$/, "") || "person";
  let id = base;
  for (let n = 2; taken.some((p) => p.id === id); n++) id = `${base}-${n}`;
  return id;
}
