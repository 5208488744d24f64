import { useId, useLayoutEffect, useRef, useState } from "preact/hooks";
import { Icon } from "../parts";
import { signIn } from "../state";
import { textPin as words } from "../text-pin";
import { useSecondsTo } from "./answered";
import { nameOf } from "./people";
import "./pin.css";

const length = 6;
const keys = [1, 2, 3, 4, 5, 6, 7, 8, 9] as const;

/** The PIN of one person, by keys large enough for gloves or by a keyboard. The sixth digit sends it. */
export function PinPad({ person, onIn }: { person: string; onIn: () => void }) {
  const { pin, set, busy, problem, held } = usePin(person, onIn);
  const id = useId();
  const field = useRef<HTMLInputElement>(null);
  useLayoutEffect(() => field.current?.focus(), [busy, held === 0]);
  const shut = busy || held > 0;
  const add = (digit: number) => set(pin + digit);
  return (
    <div class="pin">
      <label class="field-label" for={id}>{words.pinOf(nameOf(person))}</label>
      <input ref={field} class="field-input pin-field" id={id} autofocus type="password" inputMode="none" autocomplete="off" maxLength={length} value={pin} disabled={shut}
        aria-describedby={`${id}-said`} onInput={(e) => set(e.currentTarget.value.replace(/\D/g, ""))} />
      <p class="pin-said" id={`${id}-said`} aria-live="assertive">
        {busy ? words.checking : problem ? <><Icon name="stop" /> {problem} {held > 0 && words.again(held)}</> : words.digitsTyped(pin.length)}
      </p>
      <div class="pin-keys">
        {keys.map((n) => <Key key={n} n={n} shut={shut} onPress={add} />)}
        <span />
        <Key n={0} shut={shut} onPress={add} />
        <button type="button" class="pin-key" aria-label={words.remove} disabled={shut} onClick={() => set(pin.slice(0, -1))}><Icon name="back" /></button>
      </div>
      <p class="quiet">{words.six}</p>
    </div>
  );
}

function Key({ n, shut, onPress }: { n: number; shut: boolean; onPress: (n: number) => void }) {
  return <button type="button" class="pin-key" disabled={shut} onClick={() => onPress(n)}>{words.digit(n)}</button>;
}

function usePin(person: string, onIn: () => void) {
  const [pin, setPin] = useState("");
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [until, setUntil] = useState(0);
  const held = useSecondsTo(until);
  const send = async (whole: string) => {
    setBusy(true);
    const refused = await signIn(person, whole).catch((e) => {
      console.error("sign in:", e);
      return { text: words.broke, wait: 0 };
    });
    if (!refused) return onIn();
    setProblem(refused.text);
    if (refused.wait) setUntil(performance.now() + refused.wait * 1000);
    setPin("");
    setBusy(false);
  };
  const set = (next: string) => {
    if (next.length > length) return;
    setPin(next);
    if (next !== "") setProblem(null);
    if (next.length === length) void send(next);
  };
  return { pin, set, busy, problem, held };
}
