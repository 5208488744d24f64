import { useEffect, useState } from "preact/hooks";
import { momentInWords, timeInWords } from "../parts";
import { doc, sheetUse, status, type Doc } from "../state";
import { text } from "../text";
import "./print.css";

/** Stands on paper alone: when it was printed, how old the data were, which revision, and that paper does not change. */
export function PrintLine({ parts }: { parts: readonly string[] }) {
  const [when, setWhen] = useState(() => new Date());
  useEffect(() => {
    const now = () => setWhen(new Date());
    addEventListener("beforeprint", now);
    return () => removeEventListener("beforeprint", now);
  }, []);
  const { asOf } = status.value;
  return <p class="print-line">{text.printed(momentInWords(when), asOf ? timeInWords(asOf) : text.neverRead, revisionOf(parts))}</p>;
}

function revisionOf([first, id = "", face]: readonly string[]): string {
  if (face === "compare") return ""; // it stands with each of the two
  if (first === "sheet") {
    const made = sheetUse(id).value?.sheet.made;
    return made ? text.printedSheet(made.card_revision, made.rules_revision) : "";
  }
  const of: Doc | undefined = first === "cards" ? doc("card", id) : first === "case" ? doc("case", id) : first === "rules" ? doc("rules", "house") : undefined;
  return of ? text.revision(of.rev) : "";
}
