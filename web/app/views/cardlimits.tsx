import type { Card, PhaseView, Problem, View } from "../generated/types";
import { Button, Caution, Limits, Note, Why, type Picking } from "../parts";
import { doc, iMay, me, type Doc } from "../state";
import { text } from "../text";
import { beforeAt, changing } from "./changing";
import { Questions, questionsAt } from "./question";

/** The starting limits phase by phase, in the order of the operation. */
export function CardLimits({ of, view }: { of: Doc<Card>; view: View }) {
  const phases = view.phases ?? [];
  const shown = new Set(phases.map((p) => `phases/${p.key}`));
  const elsewhere = questionsAt(of, "phases").filter((q) => !shown.has(q.unit));
  const profile = of.body.machine.profile;
  return (
    <>
      <Note>{profile ? `${text.limitsFor(profile)} ` : `${text.limitsNoMachine} `}{text.limitsNote}</Note>
      <Questions of={of} list={elsewhere} />
      {phases.length === 0 && <p class="quiet">{text.noPhases}</p>}
      <ol role="list" class="phases">
        {phases.map((p) => <li key={p.key}><Phase of={of} phase={p} cautions={view.cautions ?? []} /></li>)}
      </ol>
    </>
  );
}

function Phase({ of, phase, cautions }: { of: Doc<Card>; phase: PhaseView; cautions: readonly Problem[] }) {
  const open = questionsAt(of, `phases/${phase.key}`);
  if (open.length > 0) return <Questions of={of} list={open} />;
  const here = cautions.filter((c) => (phase.cautions ?? []).includes(c.text));
  const now = doc("card", of.id)?.rev === of.rev; // an old revision is read only
  const may = now && iMay("card", of.body.owner) && { edit: `/cards/${of.id}/edit?part=limits&phase=${encodeURIComponent(phase.key)}` };
  // A touch on a number that nobody could keep opens nothing.
  return <PhaseLimits phase={phase} cautions={here} {...may} {...(may && me.value !== null && { pick: picking(of.id, phase.key) })} />;
}

function picking(card: string, phase: string): Picking {
  return { onPick: (limit) => { changing.value = { card, phase, limit }; }, before: (v) => beforeAt({ card, phase, limit: v.id }, v.value) };
}

/** One phase: its values, what is unusual about them and where that figure comes from. */
export function PhaseLimits({ phase, cautions, edit, pick }: { phase: PhaseView; cautions: readonly Problem[]; edit?: string; pick?: Picking }) {
  return (
    <div class="phase">
      <div class="row-apart"><h3>{phase.name}</h3>{edit && <Button kind="quiet" icon="edit" href={edit} label={text.editOf(phase.name)} />}</div>
      <Limits values={phase.values ?? []} pick={pick} />
      {phase.note && <p class="quiet">{phase.note}</p>}
      {cautions.map((c) => (
        <Caution key={c.text} why={c.source && <Why label={text.sourceOfFigure}><p>{c.source}</p></Why>}>{c.text}</Caution>
      ))}
    </div>
  );
}

/** The moves of the technique. */
export function Steps({ of, view }: { of: Doc<Card>; view: View }) {
  const open = questionsAt(of, "steps");
  const asked = new Set(open.map((q) => q.unit));
  return (
    <>
      <Questions of={of} list={open} />
      <ol class="steps">
        {(view.steps ?? []).filter((s) => !asked.has(`steps/${s.key}`)).map((s) => (
          <li key={s.key}>
            <p><strong>{s.title}</strong>{s.phase && <span class="quiet"> · {s.phase}</span>}</p>
            {s.do && <p>{s.do}</p>}
            {s.checkpoint && <p class="step-check"><span class="quiet">{text.doneWhen}:</span> {s.checkpoint}</p>}
          </li>
        ))}
      </ol>
    </>
  );
}
