import { useEffect, useState } from "preact/hooks";
import { Button, Caution, Note, ProblemList, Screen, Stop, toast } from "../parts";
import { codeIn, isWhole } from "../local/code";
import { go } from "../router";
import { becomeEnrolled, demoCodes, enrolled, forked, known, revoked, status, sync, waiting } from "../state";
import type { Enrolled } from "../sync/protocol";
import { post } from "../sync/request";
import { textDoor } from "../text-door";
import { useTrying } from "./answered";
import { CodeField } from "./codefield";
import "./door.css";
import { LanguageChoice } from "./language";

const words = textDoor.enrol;

/** What a device shows that the unit lead has not let in, or has taken out of use. */
export function EnrolView() {
  const [came] = useState(codeThatCame);
  const [code, setCode] = useState(came);
  const [tried, setTried] = useState(false);
  const { busy, problem, held, go: attempt } = useTrying();
  useEffect(() => { if (came) keepBeside(came); }, []);
  const enrol = async (with_: string) => {
    const answer = await attempt(async () => {
      const reply = await post<Enrolled>("/api/v1/enrol", { code: with_ });
      if (reply.kind === "refused" && !reply.refusal.wait) keepBeside(undefined); // no code any more
      return reply;
    });
    if (!answer) return;
    await becomeEnrolled(answer.device).then(
      () => { keepBeside(undefined); toast(words.done(answer.device.name)); go("/"); scrollTo(0, 0); },
      () => toast(textDoor.notRemembered, { stays: true }),
    );
  };
  const submit = (e: Event) => {
    e.preventDefault();
    setTried(true);
    if (isWhole(code) && held === 0 && !busy) void enrol(code);
  };
  return (
    <Screen title={words.title}>
      <Why />
      <ul class="door-list">{words.means.map((t) => <li key={t}>{t}</li>)}</ul>
      {status.value.server === "not reached" && <Away />}
      <LanguageChoice />
      <form class="stack" onSubmit={submit}>
        <CodeField label={textDoor.code} hint={came && code === came && !problem ? words.came : words.hint} value={code} onChange={setCode} tried={tried} />
        <ProblemList title={textDoor.notIn} problems={problem ? [{ text: problem }] : []} />
        <div><Button kind="primary" submit busy={busy} disabled={held > 0}>{held > 0 ? textDoor.again(held) : words.go}</Button></div>
      </form>
      {demoCodes.value && (
        <section class="panel stack" aria-label={words.demo}>
          <p>{words.demo}</p>
          <div class="row">
            <Button busy={busy} onClick={() => void enrol(demoCodes.value?.shared ?? "")}>{words.demoShared}</Button>
            <Button busy={busy} onClick={() => void enrol(demoCodes.value?.personal ?? "")}>{words.demoPersonal}</Button>
          </div>
        </section>
      )}
    </Screen>
  );
}

/** The code that the address brought, from a picture of it. */
function codeThatCame(): string {
  return codeIn(location.hash) || codeIn(`#${history.state?.code ?? ""}`);
}

/** Out of the address, where everybody sees it, and kept where a page that is read anew finds it: the language is chosen on this screen. */
function keepBeside(code: string | undefined): void {
  history.replaceState({ ...history.state, code }, "", location.pathname + location.search);
}

function Why() {
  const waits = waiting.value.length;
  return (
    <>
      {revoked.value && <Stop>{words.revoked}</Stop>}
      {forked.value && <Caution>{words.forked}</Caution>}
      {waits > 0 && <Note>{words.still(waits)}</Note>}
      {!revoked.value && !forked.value && (
        enrolled.value && known.value ? <Note>{words.already(enrolled.value.name)}</Note> : <p>{words.lead}</p>
      )}
    </>
  );
}

function Away() {
  const [busy, setBusy] = useState(false);
  const look = () => {
    setBusy(true);
    sync().catch(() => undefined).finally(() => setBusy(false));
  };
  return (
    <div class="stack-close">
      <Caution>{words.away}</Caution>
      <div><Button busy={busy} onClick={look}>{words.tryAgain}</Button></div>
    </div>
  );
}
