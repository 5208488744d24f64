import type { Working } from "../../generated/types";
import { Caution, Limits, Stop } from "../../parts";
import { textUnit } from "../../text-unit";

const words = textUnit.reckon;

/** A calculation that can be done again by hand: result, formula, steps, what to beware of, where it comes from. */
export function WorkingView({ of: w, label, unconfirmed }: { of: Working; label: string; unconfirmed?: boolean }) {
  return (
    <div class="working">
      {unconfirmed && <Stop>{words.notConfirmed}</Stop>}
      {(w.stops ?? []).map((s) => <Stop key={s}>{s}</Stop>)}
      {(w.result ?? []).length > 0 && <section aria-label={words.resultOf(label)}><Limits large values={w.result ?? []} /></section>}
      {(w.cautions ?? []).map((c) => <Caution key={c}>{c}</Caution>)}
      {(w.syringe_label ?? []).length > 0 && <Lines title={words.label} list={[...(unconfirmed ? [words.notConfirmed] : []), ...(w.syringe_label ?? [])]} framed />}
      <Lines title={words.formula} list={[w.formula]} />
      <Lines title={words.steps} list={w.steps ?? []} />
      <Lines title={words.beside} list={w.beside ?? []} />
      <Lines title={words.source} list={[w.source]} />
    </div>
  );
}

function Lines({ title, list, framed }: { title: string; list: readonly string[]; framed?: boolean }) {
  const said = list.filter(Boolean);
  if (said.length === 0) return null;
  return (
    <section>
      <h3>{title}</h3>
      <ul role="list" class={framed ? "working-label" : "working-lines"}>{said.map((l) => <li key={l}>{l}</li>)}</ul>
    </section>
  );
}
