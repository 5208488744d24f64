import type { Card, Step, Trigger } from "../../generated/types";
import { TextArea, TextField } from "../../parts";
import { docsOf } from "../../state";
import { textCase } from "../../text-case";
import { nameOf } from "../people";
import { roles } from "./carddraft";
import { errorAt } from "./check";
import { LongText, Many, Select, withField } from "./fields";
import { ListEditor } from "./list";
import type { PartProps } from "./parts";

const words = textCase.edit;

export function StepsPart({ card, set, problems }: PartProps) {
  const phases = (card.phases ?? []).map((p) => ({ value: p.key, label: p.name }));
  return (
    <ListEditor<Step> list={card.steps ?? []} onChange={(steps) => set({ steps })} keyOf={(s) => s.key} title={(s) => s.title}
      summary={(s) => phases.find((p) => p.value === s.phase)?.label ?? ""} blank={(title, key) => ({ key, title })}
      addLabel={words.stepAdd} nameLabel={words.stepTitle} path="steps" problems={problems}>
      {(s, put, at) => (
        <>
          <TextField free label={words.stepTitle} value={s.title} onChange={(title) => put({ ...s, title })} problem={errorAt(problems, `${at}/title`)} />
          <Select label={words.stepPhase} value={s.phase ?? ""} none={words.notStated} options={phases} onChange={(v) => put(withField(s, "phase", v))} problem={errorAt(problems, `${at}/phase`)} />
          <LongText label={words.stepDo} value={s.do ?? ""} onChange={(v) => put(withField(s, "do", v))} problem={errorAt(problems, `${at}/do`)} />
          <LongText label={words.stepCheckpoint} value={s.checkpoint ?? ""} onChange={(v) => put(withField(s, "checkpoint", v))} problem={errorAt(problems, `${at}/checkpoint`)} />
        </>
      )}
    </ListEditor>
  );
}


export function TriggersPart({ card, set, problems }: PartProps) {
  const cards = docsOf<Card>("card").filter((d) => d.id !== card.id);
  return (
    <ListEditor<Trigger> list={card.triggers ?? []} onChange={(triggers) => set({ triggers })} keyOf={(t) => t.key} title={(t) => t.title} summary={(t) => t.seen}
      blank={(title, key) => ({ key, title, seen: "", say: "" })} addLabel={words.triggerAdd} nameLabel={words.triggerTitle} path="triggers" problems={problems}>
      {(t, put, at) => (
        <>
          <TextField free label={words.triggerTitle} value={t.title} onChange={(title) => put({ ...t, title })} problem={errorAt(problems, `${at}/title`)} />
          <LongText label={words.seen} value={t.seen} onChange={(seen) => put({ ...t, seen })} problem={errorAt(problems, `${at}/seen`)} />
          <LongText label={words.say} value={t.say} onChange={(say) => put({ ...t, say })} problem={errorAt(problems, `${at}/say`)} />
          {roles.map((r) => (
            <TextArea key={r} label={words.does(textCase.drills.who[r] ?? r)} rows={3} free hint={words.oneALine} value={(t[r] ?? []).join("\n")}
              onChange={(v) => put(withField(t, r, v === "" ? undefined : v.split("\n")))} />
          ))}
          <Many label={words.opens} hint={words.opensHint} options={opensOf(card, t)} value={t.open} onChange={(v) => put(withField(t, "open", v))} problem={errorAt(problems, `${at}/open`)} />
          <LongText label={words.nextStep} value={t.next ?? ""} onChange={(v) => put(withField(t, "next", v))} problem={errorAt(problems, `${at}/next`)} />
          <Select label={words.nextCard} value={t.next_card ?? ""} none={words.notStated} options={cards.map((d) => ({ value: d.id, label: d.body.title, group: nameOf(d.body.owner) }))}
            onChange={(v) => put(withField(t, "next_card", v))} problem={errorAt(problems, `${at}/next_card`)} />
          <LongText source label={words.triggerSource} value={t.source ?? ""} onChange={(v) => put(withField(t, "source", v))} problem={errorAt(problems, `${at}/source`)} />
        </>
      )}
    </ListEditor>
  );
}

/** What can be opened: items and drugs of the card, and what the trigger already names. */
function opensOf(card: Card, t: Trigger): { value: string; label: string }[] {
  const have = [...(card.items ?? []), ...(card.drugs ?? [])].map((x) => ({ value: x.key, label: x.name }));
  const rest = (t.open ?? []).filter((k) => !have.some((h) => h.value === k)).map((k) => ({ value: k, label: k.replaceAll("-", " ") }));
  return [...new Map([...have, ...rest].map((o) => [o.value, o])).values()];
}
