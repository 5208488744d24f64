import { useRef, useState } from "preact/hooks";
import type { Doc } from "../../state";

// What is being written is put on the device with every keystroke: pages are reloaded, batteries go flat, and on some
// tablets no event tells the page that it is about to be closed.

const prefix = "sideport/draft/";

export interface Draft<T> {
  value: T;
  set: (next: (old: T) => T) => void;
  /** Forgets the draft, after it was kept or thrown away. */
  drop: () => void;
  /** True when the value comes from an earlier visit. */
  found: boolean;
  /** True when this browser refuses to store. */
  unsafe: boolean;
}

/**
 * The draft stored under the key, or a new one. The key must not change while the component lives. One that was kept
 * already is not taken up again: the browser was closed between keeping it and forgetting it.
 */
export function useDraft<T>(key: string, start: () => T, wasKept: (stored: T) => boolean = () => false): Draft<T> {
  const first = useRef<{ stored: T | null } | null>(null);
  first.current ??= { stored: unkept(key, wasKept) };
  const [value, setValue] = useState<T>(() => first.current?.stored ?? start());
  const [unsafe, setUnsafe] = useState(false);
  const newest = useRef(value);
  const dropped = useRef(false);
  const set = (next: (old: T) => T) => {
    newest.current = next(newest.current);
    setValue(newest.current);
    if (!dropped.current) setUnsafe(!write(key, newest.current));
  };
  const drop = () => {
    dropped.current = true;
    forgetDraft(key);
  };
  return { value, set, drop, found: first.current.stored !== null, unsafe };
}

/** What was being written under the key and was not kept; null when there is nothing. */
export function draftOf<T>(key: string): T | null {
  return read<T>(key);
}

export function forgetDraft(key: string): void {
  try {
    localStorage.removeItem(prefix + key);
  } catch {
    // What cannot be stored cannot be left behind either.
  }
}

function unkept<T>(key: string, wasKept: (stored: T) => boolean): T | null {
  const stored = read<T>(key);
  if (stored === null || !wasKept(stored)) return stored;
  forgetDraft(key);
  return null;
}

function read<T>(key: string): T | null {
  try {
    const text = localStorage.getItem(prefix + key);
    return text === null ? null : (JSON.parse(text) as T);
  } catch {
    return null; // no storage, or not what this program wrote: begin anew
  }
}

function write(key: string, value: unknown): boolean {
  try {
    localStorage.setItem(prefix + key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/** What keep() needs of the document as the editor opened it, small enough to store with every keystroke. */
export function opened(d: Doc): Doc {
  const { kind, id, rev, seq, body, questions, waiting, after, epoch } = d;
  return { kind, id, rev, seq, body, questions, waiting, history: [], ...(after && { after }), ...(epoch && { epoch }) };
}
