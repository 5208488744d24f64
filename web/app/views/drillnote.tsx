import { useState } from "preact/hooks";
import type { Trigger } from "../generated/types";
import { Button, toast } from "../parts";
import { keepRecord, NotKept, type SheetUse } from "../state";
import { textAloud } from "../text-aloud";
import { clockOf } from "./drillclock";
import { Reason } from "./reason";
import { recordOfNote } from "./record";

const words = textAloud.ifs;

/** Leaves a note for the debrief, with what the clock says: one tap for the usual ones. */
export function DrillNote({ use, trigger, clock }: { use: SheetUse; trigger: Trigger; clock: string }) {
  const [open, setOpen] = useState(false);
  const [busy, setBusy] = useState(false);
  const keep = async (text: string) => {
    if (busy) return;
    setBusy(true);
    const { begun, reads } = clockOf(clock);
    try {
      await keepRecord(recordOfNote(use, trigger, `${text} (${words.noteAt(reads)})`, { begun, ended: new Date().toISOString() }));
      setOpen(false);
      toast(words.noteKept);
    } catch (e) {
      toast(`${words.noteFailed} ${e instanceof NotKept ? e.message : ""}`, { stays: true });
    } finally {
      setBusy(false);
    }
  };
  if (!open) return <Button big icon="edit" onClick={() => setOpen(true)}>{words.note}</Button>;
  return <Reason title={words.noteTitle} reasons={words.notes} done={words.noteKeep} onReason={(why) => void keep(why)} onCancel={() => setOpen(false)} />;
}
