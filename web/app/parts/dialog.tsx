import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";
import { text } from "../text";
import { Button } from "./button";
import "./dialog.css";

interface DialogProps {
  title: string;
  open: boolean;
  /** Called for Escape, the close button and after a choice; must set open to false. */
  onClose: () => void;
  children: ComponentChildren;
  /** Buttons at the foot. */
  actions?: ComponentChildren;
}

/** A question that has to be answered first. The browser keeps the focus inside and gives it back afterwards. */
export function Dialog({ title, open, onClose, children, actions }: DialogProps) {
  const box = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const d = box.current;
    if (!d) return;
    if (open && !d.open) d.showModal();
    if (!open && d.open) d.close();
  }, [open]);
  return (
    <dialog ref={box} class="dialog" aria-labelledby={id} onClose={onClose}>
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
