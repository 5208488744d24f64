// The ways to sign in besides the PIN, where the server has them.

import { useState } from "preact/hooks";
import { Button, Note, toast } from "../parts";
import { addPasskey, cameBack, enrolled, goToSignOn, passkeySignIn, passkeysHere, ways, type NotIn } from "../state";
import { textPin as words } from "../text-pin";

/** Beside the PIN of one person. */
export function OtherWays({ person, onIn }: { person: string; onIn: () => void }) {
  const { busy, problem, run } = useWay(onIn);
  const passkey = passkeysHere();
  if (!passkey && !ways.value.sso) return null;
  return (
    <section class="stack" aria-label={words.otherWays}>
      <div class="row">
        {passkey && <Button busy={busy} onClick={() => run(() => passkeySignIn(person))}>{words.byPasskey}</Button>}
        {ways.value.sso && <Button busy={busy} onClick={() => run(() => goToSignOn(false))}>{words.bySignOn}</Button>}
      </div>
      <p aria-live="polite">{problem}</p>
    </section>
  );
}

/** For whoever is signed in by PIN: how to do without it next time. onAgain asks for the PIN once more. */
export function Introduce({ onAgain }: { onAgain: () => void }) {
  const { busy, problem, again, run } = useWay(() => toast(words.passkeyAdded));
  const passkey = passkeysHere() && enrolled.value?.shared === false;
  if (!passkey && !ways.value.sso) return null;
  return (
    <section class="stack" aria-labelledby="next-time">
      <h2 id="next-time">{words.nextTime}</h2>
      <p class="quiet">{words.nextTimeWhy}</p>
      <div class="row">
        {passkey && <Button busy={busy} onClick={() => run(addPasskey)}>{words.addPasskey}</Button>}
        {ways.value.sso && <Button busy={busy} onClick={() => run(() => goToSignOn(true))}>{words.linkSignOn}</Button>}
      </div>
      <p aria-live="polite">{problem}</p>
      {again && <div><Button kind="primary" onClick={onAgain}>{words.signInAgain}</Button></div>}
    </section>
  );
}

/** What came of a single sign-on, once the browser is back. */
export function CameBack() {
  const came = cameBack.value;
  return came && <div role="status">{came.done ? <p><strong>{came.text}</strong></p> : <Note>{came.text}</Note>}</div>;
}

function useWay(onDone: () => void) {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState("");
  const [again, setAgain] = useState(false);
  const run = (way: () => Promise<NotIn | null>) => {
    setBusy(true);
    setProblem("");
    setAgain(false);
    way().then((refused) => {
      if (!refused) return onDone();
      setProblem(refused.text);
      setAgain(refused.again ?? false);
    }, (error) => {
      console.error("sign in:", error);
      setProblem(words.broke);
    }).finally(() => setBusy(false));
  };
  return { busy, problem, again, run };
}
