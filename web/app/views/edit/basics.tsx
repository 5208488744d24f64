import type { Basics, Card, Machine, Technique } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { Caution, SafeHTML, TextArea, TextField } from "../../parts";
import { docsOf, type Person } from "../../state";
import { textCase } from "../../text-case";
import { errorAt, identityAt } from "./check";
import { LongText, Pick, Select, withField } from "./fields";
import type { PartProps } from "./parts";
import { QuantityField } from "./quantity";

const words = textCase.edit;

/** What stays the same for a surgeon whatever the technique. */
export function BasicsPart({ card, base, set, problems }: PartProps) {
  const b = card.basics;
  const put = <K extends keyof Basics>(field: K, value: Basics[K] | undefined | "") => set({ basics: withField(b, field, value) });
  const number = (id: "glove_size" | "main_width" | "side_hours" | "side_width" | "pupil_distance" | "eyepiece_left" | "eyepiece_right") => (
    <QuantityField id={id} value={b[id]} was={base?.basics[id]} path={`basics/${id}`} problems={problems} onChange={(v) => put(id, v)} />
  );
  return (
    <>
      {number("glove_size")}
      <TextField label={words.gown} value={b.gown_size ?? ""} onChange={(v) => put("gown_size", v)} problem={errorAt(problems, "basics/gown_size")} />
      <Pick label={words.handedness} options={choices.handedness} value={b.handedness} onChange={(v) => put("handedness", v)} />
      <Pick label={words.seat} options={choices.seat} value={b.seat} onChange={(v) => put("seat", v)} />
      <Pick label={words.mainPlace} options={choices.incision} value={b.main_place} onChange={(v) => put("main_place", v)} />
      {number("main_width")}
      <Pick label={words.sideHand} options={choices.hand} value={b.side_hand} onChange={(v) => put("side_hand", v)} />
      {number("side_hours")}
      {number("side_width")}
      {number("pupil_distance")}
      {number("eyepiece_left")}
      {number("eyepiece_right")}
      <Pick label={words.anaesthesia} options={choices.anaesthesia} value={b.anaesthesia} onChange={(v) => put("anaesthesia", v)} />
      <LongText label={words.anaesthesiaNote} value={b.anaesthesia_note ?? ""} onChange={(v) => put("anaesthesia_note", v)} problem={errorAt(problems, "basics/anaesthesia_note")} />
    </>
  );
}

export function MachinePart({ card, base, set, problems }: PartProps) {
  const m = card.machine;
  const put = <K extends keyof Machine>(field: K, value: Machine[K] | undefined | "") => set({ machine: withField(m, field, value) });
  return (
    <>
      <TextField label={words.profile} value={m.profile ?? ""} onChange={(v) => put("profile", v)} problem={errorAt(problems, "machine/profile")} />
      <Pick label={words.pump} options={choices.pump} value={m.pump} onChange={(v) => put("pump", v)} />
      <Pick label={words.irrigation} options={choices.irrigation} value={m.irrigation} onChange={(v) => put("irrigation", v)} problem={errorAt(problems, "machine/irrigation")} />
      <QuantityField id="tip_gauge" value={m.tip_gauge} was={base?.machine.tip_gauge} path="machine/tip_gauge" problems={problems} onChange={(v) => put("tip_gauge", v)} />
      <QuantityField id="tip_angle" value={m.tip_angle} was={base?.machine.tip_angle} path="machine/tip_angle" problems={problems} onChange={(v) => put("tip_angle", v)} />
      <LongText label={words.pedal} value={m.pedal ?? ""} onChange={(v) => put("pedal", v)} problem={errorAt(problems, "machine/pedal")} />
    </>
  );
}

export function HeaderPart({ card, set, problems }: PartProps) {
  const surgeons = docsOf<Person>("person").filter((p) => p.body.roles.includes("surgeon")).map((p) => ({ value: p.id, label: p.body.name }));
  return (
    <>
      <TextField free label={words.cardTitle} hint={words.titleHint} value={card.title} maxLength={120} onChange={(title) => set({ title })} problem={errorAt(problems, "title")} />
      <Pick needed label={words.technique} options={choices.technique} value={card.technique} onChange={(t) => set(techniqueChange(t))} problem={errorAt(problems, "technique")} />
      {card.technique === "unit's own" && (
        <TextField label={words.techniqueName} value={card.technique_name ?? ""} onChange={(v) => set({ technique_name: v || undefined } as Partial<Card>)} problem={errorAt(problems, "technique_name")} />
      )}
      <Select label={words.owner} value={card.owner} none={words.notStated} options={surgeons} onChange={(owner) => set({ owner })} problem={errorAt(problems, "owner")} />
      <TextField label={words.review} type="date" value={card.review ?? ""} onChange={(v) => set({ review: v || undefined } as Partial<Card>)} problem={errorAt(problems, "review")} />
    </>
  );
}

/** A name of its own belongs to the unit's own technique only. */
function techniqueChange(technique: Technique | undefined): Partial<Card> {
  if (technique === undefined) return {};
  return (technique === "unit's own" ? { technique } : { technique, technique_name: undefined }) as Partial<Card>;
}

export function NotesPart({ card, set, problems, view }: PartProps) {
  return (
    <>
      <TextArea label={words.notes} rows={10} hint={words.notesHint} free value={card.notes ?? ""} problem={errorAt(problems, "notes")}
        onChange={(v) => set({ notes: v || undefined } as Partial<Card>)} />
      {identityAt(problems, "notes").map((p) => <Caution key={p.text}>{p.text}</Caution>)}
      {card.notes && view?.notes_html && (
        <section aria-label={words.preview}>
          <h4>{words.preview}</h4>
          <div class="panel"><SafeHTML html={view.notes_html} /></div>
        </section>
      )}
    </>
  );
}
