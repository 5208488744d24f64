import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { Button, TextField } from "../parts";
import { textCase } from "../text-case";
import { IdentityCautions } from "./edit/identity";

const words = textCase.aloud;

interface ReasonProps {
  title: string;
  /** The line it is about. */
  about?: string;
  /** Reasons to tap; typing is for the rest. */
  reasons: readonly string[];
  done: string;
  onReason: (why: string) => void;
  onCancel: () => void;
}

/** Why something is not done. One tap for the usual reasons. */
export function Reason({ title, about, reasons, done, onReason, onCancel }: ReasonProps) {
  const [own, setOwn] = useState("");
  const heading = useRef<HTMLHeadingElement>(null);
  useLayoutEffect(() => heading.current?.focus({ preventScroll: true }), []);
  return (
    <div class="reason">
      {about && <p class="quiet">{about}</p>}
      <h3 ref={heading} tabIndex={-1} class="run-when">{title}</h3>
      <div class="reason-list">
        {reasons.map((r) => <Button key={r} big wide onClick={() => onReason(r)}>{r}</Button>)}
      </div>
      <TextField label={words.inWords} value={own} onChange={setOwn} maxLength={200} free />
      <IdentityCautions label={words.inWords} of={own} />
      <div class="row">
        <Button big kind="primary" disabled={own.trim() === ""} onClick={() => onReason(own.trim())}>{done}</Button>
        <Button big kind="quiet" onClick={onCancel}>{textCase.cancel}</Button>
      </div>
    </div>
  );
}
