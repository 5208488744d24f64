import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import { text } from "../text";
import "./field.css";
import { Icon } from "./icon";

interface FrameProps {
  label: string;
  hint?: string | undefined;
  /** What is wrong and how to mend it, from the core or from the keystroke guard. */
  problem?: string | null | undefined;
  id: string;
  /** Keeps a line free for the problem, so that nothing moves when it comes and goes while somebody types. */
  steady?: boolean;
  children: ComponentChildren;
}

/** Label above, hint and problem below; the ids are tied together for screen readers. */
export function FieldFrame({ label, hint, problem, id, steady, children }: FrameProps) {
  return (
    <div class={["field", problem && "field-wrong", steady && "field-steady"].filter(Boolean).join(" ")}>
      <label class="field-label" for={id}>{label}</label>
      {children}
      {hint && <p class="field-hint" id={id + "-hint"}>{hint}</p>}
      <p class="field-problem" id={id + "-problem"} aria-live="polite">
        {problem && <><Icon name="stop" /> {problem}</>}
      </p>
    </div>
  );
}

/** The aria-describedby of a field. */
export function described(id: string, hint?: string): string {
  return (hint ? id + "-hint " : "") + id + "-problem";
}

interface TextFieldProps {
  label: string;
  value: string;
  onChange: (value: string) => void;
  hint?: string;
  problem?: string | null;
  maxLength?: number;
  /** Free text that others will read: says that no patient identity belongs here. */
  free?: boolean;
  type?: "text" | "search" | "date";
  rows?: number;
}

function withWarning(p: TextFieldProps): string | undefined {
  const parts = [p.hint, p.free ? text.noIdentity : undefined].filter(Boolean);
  return parts.length ? parts.join(" ") : undefined;
}

/** One line of text. */
export function TextField(p: TextFieldProps) {
  const id = useId();
  const hint = withWarning(p);
  return (
    <FieldFrame id={id} label={p.label} hint={hint} problem={p.problem}>
      <input class="field-input" id={id} type={p.type ?? "text"} value={p.value} maxLength={p.maxLength}
        autocomplete="off" aria-invalid={p.problem ? "true" : undefined} aria-describedby={described(id, hint)}
        onInput={(e) => p.onChange(e.currentTarget.value)} />
    </FieldFrame>
  );
}

/** Several lines of text. */
export function TextArea(p: TextFieldProps) {
  const id = useId();
  const hint = withWarning(p);
  return (
    <FieldFrame id={id} label={p.label} hint={hint} problem={p.problem}>
      <textarea class="field-input" id={id} rows={p.rows ?? 4} value={p.value} maxLength={p.maxLength}
        aria-invalid={p.problem ? "true" : undefined} aria-describedby={described(id, hint)}
        onInput={(e) => p.onChange(e.currentTarget.value)} />
    </FieldFrame>
  );
}
