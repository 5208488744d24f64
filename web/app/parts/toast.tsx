import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { text } from "../text";
import { Button } from "./button";
import { Icon } from "./icon";
import "./toast.css";

interface Shown {
  text: string;
  undo?: (() => void) | undefined;
  /** Stays until it is put away. For things that went wrong. */
  stays?: boolean | undefined;
  serial: number;
}

const shown = signal<Shown | null>(null);
const spoken = signal("");
let serial = 0;

/** How long a passing word stays, and how long an undo: long enough to reach it with a gloved hand. */
const passing = 5_000;
const undoable = 12_000;

/** Says something at the foot of the screen, politely. With `undo` it offers to take the step back. */
export function toast(words: string, options: { undo?: () => void; stays?: boolean } = {}): void {
  shown.value = { text: words, serial: ++serial, ...options };
}

/** Takes a passing word away where what comes next must be seen whole. What went wrong stays. */
export function passToast(): void {
  if (!shown.peek()?.stays) shown.value = null;
}

/** Says something to screen readers only. */
export function announce(words: string): void {
  spoken.value = words;
}

/** The one place where toasts appear. The shell shows it; nothing else does. */
export function Toasts() {
  const t = shown.value;
  useEffect(() => {
    if (!t || t.stays) return;
    const timer = setTimeout(() => { if (shown.value === t) shown.value = null; }, t.undo ? undoable : passing);
    return () => clearTimeout(timer);
  }, [t]);
  const close = () => { shown.value = null; };
  return (
    <div class="toasts">
      <div role="status" aria-live="polite" class={t ? "toast" : undefined}>
        {t && <>
          <p class="toast-words">{t.stays && <Icon name="caution" />} {t.text}</p>
          {t.undo && <Button kind="primary" icon="undo" onClick={() => { t.undo?.(); close(); }}>{text.undo}</Button>}
          <Button kind="quiet" icon="cross" label={text.close} onClick={close} />
        </>}
      </div>
      <p class="hidden-visually" role="status" aria-live="polite">{spoken.value}</p>
    </div>
  );
}
