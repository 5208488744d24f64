import { useState } from "preact/hooks";
import { Button, Dialog } from "../parts";
import { asking, type Asking } from "../state";
import { textPin as words } from "../text-pin";
import { Names } from "./nameslist";
import { PinPad } from "./pin";

/** Asks who keeps a change, where the device is locked. Whatever is not answered here is not kept and not lost. */
export function PinDialog() {
  const ask = asking.value;
  return ask && <Ask key={ask.person} ask={ask} />;
}

function Ask({ ask }: { ask: Asking }) {
  const [person, choose] = useState<string | null>(ask.person);
  return (
    <Dialog open title={words.toKeep} onClose={() => ask.done(null)} actions={<>
      {person !== null && ask.others.length > 0 && <Button icon="person" onClick={() => choose(null)}>{words.notMe}</Button>}
      <Button onClick={() => ask.done(null)}>{words.cancel}</Button>
    </>}>
      <p>{words.toKeepWhy}</p>
      {person !== null
        ? <PinPad key={person} person={person} onIn={() => ask.done(person)} />
        : <Names label={words.choose} only={[ask.person, ...ask.others]} onChoose={choose} />}
    </Dialog>
  );
}
