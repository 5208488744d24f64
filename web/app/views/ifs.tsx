import type { RuleBook, TriggerSheet } from "../generated/types";
import { Button, Screen, today } from "../parts";
import { route } from "../router";
import { doc, sheetsInUse, type SheetUse } from "../state";
import { textAloud } from "../text-aloud";
import { textCase } from "../text-case";
import { Drill, Triggers } from "./drills";
import { lastWorked } from "./lastworked";

const words = textAloud.ifs;

/** The triggers from wherever somebody is: those of the sheet last worked on today, or the unit's own. */
export function Ifs() {
  const key = route.value.parts[1];
  const [use, ...others] = lastWorked(sheetsInUse(), today());
  const own = unitDrills();
  const chosen = own.find((t) => t.trigger.key === key);
  const back = { href: "/", label: textCase.case.missingBack };
  if (chosen) return <Screen wide title={words.title} back={back}><Drill key={key} use={null} sheet={chosen} base="/if" /></Screen>;
  return (
    <Screen wide title={words.title} back={back}>
      {use
        ? <>
          <p class="ifs-of">{words.ofCase(use.sheet.made.case.position, eyeOf(use))}</p>
          {others.length > 0 && <div class="row" role="group" aria-label={words.otherCase}>{others.map((o) => <Button key={o.caseId} big href={`/sheet/${o.caseId}/if`}>{`${textCase.sheet.position(o.sheet.made.case.position)} · ${eyeOf(o)}`}</Button>)}</div>}
          <Triggers use={use} triggers={use.sheet.triggers} base={`/sheet/${use.caseId}/if`} />
        </>
        : <>
          <p class="ifs-of">{words.ofUnit}</p>
          <Triggers use={null} triggers={own} base="/if" missing={key !== undefined} />
        </>}
    </Screen>
  );
}

function eyeOf(use: SheetUse): string {
  return use.sheet.facts.find((f) => f.factor === "eye")?.text ?? textCase.sheet.noEye;
}

function unitDrills(): TriggerSheet[] {
  const drills = doc<RuleBook>("rules", "house")?.body.drills ?? [];
  return drills.map((trigger) => ({ trigger, why: [{ from: "unit drill", id: trigger.key, text: "" }] }));
}
