import { useId } from "preact/hooks";
import { described, FieldFrame } from "../parts";
import { isWhole, shownCode, strayIn } from "../local/code";
import { textDoor } from "../text-door";
import "./door.css";

interface CodeFieldProps {
  label: string;
  hint: string;
  value: string;
  onChange: (shown: string) => void;
  /** Somebody tried to go on: what is missing is said now. */
  tried: boolean;
}

/** Takes a code as people type it and shows it as codes are written. */
export function CodeField({ label, hint, value, onChange, tried }: CodeFieldProps) {
  const id = useId();
  const stray = strayIn(value);
  const problem = stray ? textDoor.codeStray(stray) : tried && !isWhole(value) ? textDoor.codeShort : null;
  return (
    <div class="door-code">
      <FieldFrame id={id} label={label} hint={hint} problem={problem}>
        <input class="field-input" id={id} type="text" value={value} maxLength={24} autocomplete="off" autocapitalize="characters"
          spellcheck={false} aria-invalid={problem ? "true" : undefined} aria-describedby={described(id, hint)}
          onInput={(e) => { e.currentTarget.value = shownCode(e.currentTarget.value); onChange(e.currentTarget.value); }} />
      </FieldFrame>
    </div>
  );
}
