import type { ComponentChildren } from "preact";
import { useEffect, useId, useLayoutEffect, useRef } from "preact/hooks";
import { text } from "../text";
import { Button } from "./button";
import "./dialog.css";

interface DialogProps {
  title: string;
  open: boolean;
  /** Called for Escape, the close button and after a choice; must set open to false. */
  onClose: () => void;
  /** On a phone it rises from below, where the thumb is, and a tap beside it closes it. */
  below?: boolean;
  children: ComponentChildren;
  /** Buttons at the foot. */
  actions?: ComponentChildren;
}

/** A question that has to be answered first. The browser keeps the focus inside and gives it back afterwards. */
export function Dialog({ title, open, onClose, below, children, actions }: DialogProps) {
  const box = useRef<HTMLDialogElement>(null);
  const began = useRef(false); // a finger that came down inside and slid off has closed nothing
  const id = useId();
  // Before the paint, and so before whatever stands around it puts the focus inside.
  useLayoutEffect(() => {
    const d = box.current;
    if (!d) return;
    if (open && !d.open) d.showModal();
    if (!open && d.open) d.close();
  }, [open]);
  const gone = useRef(false);
  // One that is taken off the page while it is open gives the focus back only if it is closed first, which is nobody's choice.
  useEffect(() => {
    const d = box.current;
    return () => {
      gone.current = true;
      d?.close();
    };
  }, []);
  return (
    <dialog ref={box} class={below ? "dialog dialog-below" : "dialog"} aria-labelledby={id} onClose={() => { if (!gone.current) onClose(); }}
      onPointerDown={(e) => { began.current = isBeside(e); }} onClick={(e) => { if (below && began.current && isBeside(e)) onClose(); }}>
      {open && <>
        <div class="dialog-head">
          <h2 id={id}>{title}</h2>
          <Button kind="quiet" icon="cross" label={text.close} onClick={onClose} />
        </div>
        <div class="dialog-inside">{children}</div>
        {actions && <div class="dialog-actions">{actions}</div>}
      </>}
    </dialog>
  );
}

function isBeside(e: MouseEvent & { currentTarget: HTMLDialogElement }): boolean {
  const r = e.currentTarget.getBoundingClientRect();
  return e.target === e.currentTarget && (e.clientX < r.left || e.clientX > r.right || e.clientY < r.top || e.clientY > r.bottom);
}
