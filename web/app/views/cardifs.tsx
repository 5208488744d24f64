import type { Card, Trigger, TriggerView, View } from "../generated/types";
import { Icon, Link, Tag, Why } from "../parts";
import { doc, type Doc } from "../state";
import { text } from "../text";
import { PhaseLimits } from "./cardlimits";
import { ItemLine } from "./cardsetup";
import { Questions, questionsAt } from "./question";

/** What to do if the eye does not behave; each opens to what every role does. */
export function Ifs({ of, view }: { of: Doc<Card>; view: View }) {
  const open = questionsAt(of, "triggers");
  const asked = new Set(open.map((q) => q.unit));
  return (
    <>
      <Questions of={of} list={open} />
      {(view.triggers ?? []).filter((t) => !asked.has(`triggers/${t.trigger.key}`)).map((t) => <If key={t.trigger.key} of={t} />)}
    </>
  );
}

const roles = [
  ["surgeon", text.roleSurgeon],
  ["scrub", text.roleScrub],
  ["circulating", text.roleCirculating],
  ["anaesthesia", text.roleAnaesthesia],
] as const satisfies readonly (readonly [keyof Trigger, string])[];

function If({ of: { trigger, opens = [] } }: { of: TriggerView }) {
  const next = trigger.next_card ? doc<Card>("card", trigger.next_card) : undefined;
  return (
    <details class="if">
      <summary><strong>{trigger.title}</strong><Icon name="down" /></summary>
      <div class="if-inside">
        <dl class="if-seen">
          <dt>{text.seen}</dt><dd>{trigger.seen}</dd>
          <dt>{text.say}</dt><dd><strong>{trigger.say}</strong></dd>
        </dl>
        <div class="if-roles">
          {roles.filter(([role]) => (trigger[role] ?? []).length > 0).map(([role, name]) => (
            <div key={role}>
              <h4>{name}</h4>
              <ol>{trigger[role]?.map((line) => <li key={line}>{line}</li>)}</ol>
            </div>
          ))}
        </div>
        {opens.length > 0 && (
          <div>
            <h4>{text.openNow}</h4>
            <ul role="list" class="stack-close">
              {opens.map((o) => <li key={o.key} class="row">{o.name} <Tag kind={o.state ? "plain" : "caution"}>{o.state || text.notOnCard}</Tag></li>)}
            </ul>
          </div>
        )}
        {(trigger.next || next) && (
          <p>{text.then}: {trigger.next} {next && <Link href={`/cards/${next.id}`}>{next.body.title}</Link>}</p>
        )}
        {trigger.source && <Why><p>{text.source(trigger.source)}</p></Why>}
      </div>
    </details>
  );
}

/** Limits and items the surgeon wrote for a kind of case. */
export function Variants({ of, view }: { of: Doc<Card>; view: View }) {
  const open = questionsAt(of, "variants");
  const asked = new Set(open.map((q) => q.unit));
  return (
    <>
      <Questions of={of} list={open} />
      {(view.variants ?? []).filter((v) => !asked.has(`variants/${v.key}`)).map((v) => (
        <div key={v.key} class="variant">
          <h3>{v.title}</h3>
          <p><span class="quiet">{text.when}:</span> {v.when.join("; ")}</p>
          {v.phases?.map((p) => (
            <PhaseLimits key={p.key} phase={p} cautions={(view.cautions ?? []).filter((c) => (p.cautions ?? []).includes(c.text))} />
          ))}
          {v.items && v.items.length > 0 && <div><h4>{text.also}</h4><ul role="list">{v.items.map((i) => <ItemLine key={i.key} item={i} />)}</ul></div>}
          {v.without && v.without.length > 0 && <p><span class="quiet">{text.without}:</span> {v.without.join(", ")}</p>}
          {v.note && <p class="quiet">{v.note}</p>}
        </div>
      ))}
    </>
  );
}

/** What speaks for or against the card, in the surgeon's words. */
export function FitLines({ of, view }: { of: Doc<Card>; view: View }) {
  const open = questionsAt(of, "fit");
  const inQuestion = new Set(open.map((q) => q.head_text));
  return (
    <>
      <Questions of={of} list={open} />
      <ul role="list" class="stack-close">
        {(view.fit ?? []).filter((f) => !inQuestion.has(`speaks ${f.speaks} when ${f.text}: ${f.reason}`)).map((f) => (
          <li key={f.speaks + f.text} class="fit">
            <Tag kind={f.speaks === "for" ? "plain" : "caution"} icon={f.speaks === "for" ? "plus" : "minus"}>
              {f.speaks === "for" ? text.speaksFor : text.speaksAgainst}
            </Tag>
            <span><strong>{f.text}</strong>: {f.reason}</span>
          </li>
        ))}
      </ul>
    </>
  );
}
