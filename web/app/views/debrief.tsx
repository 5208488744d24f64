import { Button, timeInWords } from "../parts";
import { docsOf, type NoteRecord, type RecordBody } from "../state";
import { textAloud } from "../text-aloud";
import { recordsOf } from "./record";

/** What was noted from the drills of a case, to be said at the debrief. */
export function NotesForDebrief({ caseId }: { caseId: string }) {
  const notes = recordsOf(docsOf<RecordBody>("record").map((d) => d.body), caseId).filter((r): r is NoteRecord & { id: string } => r.what === "note");
  if (notes.length === 0) return null;
  return (
    <section>
      <h3>{textAloud.record.notes}</h3>
      <ul>{notes.map((n) => <li key={n.id}>{timeInWords(n.ended)} · {n.title}: <strong>{n.text}</strong></li>)}</ul>
    </section>
  );
}

/** The way to everything that was read aloud or noted for a case; nothing while there is none. */
export function RecordsLink({ caseId }: { caseId: string }) {
  if (!docsOf<RecordBody>("record").some((d) => d.body.case === caseId)) return null;
  return <div><Button big icon="history" href={`/records/${caseId}`}>{textAloud.record.entry}</Button></div>;
}
