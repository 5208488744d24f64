import { useEffect, useState } from "preact/hooks";
import { Caution } from "../../parts";
import { identityIn, status, type Problem } from "../../state";

const settleMillis = 250;

/** Says when a text that is no part of a document looks as if it said who a patient is. Nothing while the core is not there. */
export function IdentityCautions({ label, of }: { label: string; of: string }) {
  const [found, setFound] = useState<Problem[]>([]);
  useEffect(() => {
    let gone = false;
    const timer = setTimeout(() => {
      identityIn(label, of).then((list) => { if (!gone) setFound(list); }, () => undefined);
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [label, of, status.value.core === "ready"]); // what was written before the core was there is looked at when it is
  return <>{found.map((p) => <Caution key={p.text}>{p.text}</Caution>)}</>;
}
