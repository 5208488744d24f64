import { useEffect, useState } from "preact/hooks";
import { Button, Note, Screen, toast } from "../parts";
import { back } from "../router";
import { enrolled, me, signOut, unlocked } from "../state";
import { textPin as words } from "../text-pin";
import { Names } from "./nameslist";
import { nameOf } from "./people";
import { CameBack, Introduce, OtherWays } from "./otherways";
import { PinPad } from "./pin";

/** How long whoever was asked for a PIN is asked again after a look at another screen: a finger slips, a person leaves. */
const askedFor = 60_000;

/** Whose PIN was asked for last, and when that screen was left; the digits are not kept. */
let asked: { person: string; left: number } | null = null;

/** The person whose PIN is asked for; a tap beside the keys that leads to another screen does not lose who it was. */
function useChosen(): [string | null, (person: string | null) => void] {
  const [chosen, choose] = useState<string | null>(() => {
    if (asked && performance.now() - asked.left < askedFor) return asked.person;
    return me.value !== null && !unlocked.value ? me.value : null;
  });
  asked = chosen === null ? null : { person: chosen, left: Infinity };
  useEffect(() => () => { if (asked) asked.left = performance.now(); }, []);
  return [chosen, choose];
}

/** Who is editing on this device: sign in, sign out. */
export function PersonView() {
  const [chosen, choose] = useChosen();
  const isIn = () => {
    toast(`${words.editingAs(nameOf(chosen ?? ""))}.`);
    choose(null);
  };
  return (
    <Screen title={words.title}>
      <CameBack />
      {chosen !== null
        ? <>
          <PinPad key={chosen} person={chosen} onIn={isIn} />
          <OtherWays person={chosen} onIn={isIn} />
          <div><Button icon="person" onClick={() => choose(null)}>{words.back}</Button></div>
        </>
        : <>
          {unlocked.value ? <SignedIn /> : <p>{words.lead}</p>}
          {unlocked.value?.checked === "server" && <Introduce onAgain={() => choose(unlocked.value!.person)} />}
          <section class="stack" aria-labelledby="names">
            <h2 id="names">{words.choose}</h2>
            <Names label={words.choose} onChoose={choose} />
          </section>
          <p class="quiet">{enrolled.value?.shared ? words.leadShared : words.leadOwn}</p>
        </>}
      {me.value !== null && <SignOut onOut={() => choose(null)} />}
    </Screen>
  );
}

function SignedIn() {
  const { person, checked } = unlocked.value!;
  return (
    <section class="panel stack">
      <p><strong>{words.editingAs(nameOf(person))}</strong></p>
      {checked === "here" && <Note>{words.checkedHere}</Note>}
      <div><Button kind="primary" onClick={back}>{words.goOn}</Button></div>
    </section>
  );
}

function SignOut({ onOut }: { onOut: () => void }) {
  const [problem, setProblem] = useState("");
  const out = () => signOut().then(
    () => { onOut(); toast(words.signedOut); },
    () => setProblem(words.broke),
  );
  return (
    <div class="row">
      <Button onClick={() => void out()}>{words.signOut}</Button>
      <p aria-live="polite">{problem}</p>
    </div>
  );
}
