import { useState } from "preact/hooks";
import { tongue } from "../lang/said";
import { partsThousands, TextField, withMarks, withPoints } from "../parts";
import { text } from "../text";

interface StrengthProps {
  label: string;
  /** A strength as the core takes it: "0.5 mg/mL". */
  value: string;
  onChange: (value: string) => void;
  hint: string;
  problem: string | null;
}

/** A strength, typed with the decimal mark of the language. It shows what was typed, since a point may have been meant for thousands. */
export function StrengthField({ label, value, onChange, hint, problem }: StrengthProps) {
  const { decimal } = tongue.value;
  const [typed, setTyped] = useState(() => withMarks(value, decimal));
  const stored = (of: string) => (partsThousands(of, decimal) ? "" : withPoints(of, decimal));
  const own = stored(typed) === value; // what stands there was typed here
  const put = (now: string) => {
    setTyped(now);
    onChange(stored(now));
  };
  const wrong = own && partsThousands(typed, decimal) ? text.thousandsRefused : problem;
  return <TextField label={label} value={own ? typed : withMarks(value, decimal)} onChange={put} hint={hint} problem={wrong} maxLength={400} />;
}
