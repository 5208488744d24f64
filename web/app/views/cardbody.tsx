import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useMemo, useState } from "preact/hooks";
import type { Card, View } from "../generated/types";
import { Caution, Limits, Note, SafeHTML } from "../parts";
import { cameAgain, route } from "../router";
import type { Doc } from "../state";
import { text } from "../text";
import { FitLines, Ifs, Variants } from "./cardifs";
import { CardSetup, Drugs } from "./cardsetup";
import { CardLimits, Steps } from "./cardlimits";
import { CardDrawing } from "./drawn";
import { Questions, questionsAt } from "./question";

const nothing: View = {};

/** All of a card below its head. `of` may be an old revision; then it has no questions. */
export function CardBody({ of }: { of: Doc<Card> }) {
  const view = of.view ?? nothing;
  const sections = useMemo(() => sectionsOf(of, view).filter((s) => s.shown), [of]);
  const drawn = useTurns(sections.length, isLong(of.body));
  useAsked();
  return (
    <div class="cardbody">
      <nav class="jump" aria-label={text.onThisPage}>
        {sections.map((s) => <a key={s.id} href={`#${s.id}`}>{s.title}</a>)}
      </nav>
      <Questions of={of} list={of.questions.filter((q) => !q.unit.includes("/"))} />
      <div class="cardsections" aria-busy={drawn !== all || undefined}>
        {sections.slice(0, drawn).map((s) => (
          <section key={s.id} class={`cardsection cardsection-${s.id}`} aria-labelledby={s.id}>
            <h2 id={s.id} tabIndex={-1}>{s.title}</h2>
            {s.inside}
          </section>
        ))}
      </div>
    </div>
  );
}

/** So many things in the set-up take more than a screen, so that what is drawn after it moves nothing in sight. */
const isLong = ({ items }: Card): boolean => (items?.length ?? 0) >= 24;

const all = Infinity;

/**
 * How many of a card's sections are drawn. Those of a long card come one after another, each in a piece of work of its own,
 * so that a slow device hears a touch in between. All come at once where a place in it is asked for.
 */
function useTurns(sections: number, long: boolean): number {
  const [drawn, draw] = useState(() => (long && !cameAgain() && !location.hash && !route.peek().query.has("at") ? 1 : all));
  useEffect(() => {
    if (drawn === all) return;
    const timer = setTimeout(draw, 0, drawn + 1 < sections ? drawn + 1 : all);
    return () => clearTimeout(timer);
  }, [drawn, sections]);
  useLayoutEffect(() => {
    if (drawn === all) return;
    // A link to a section that is not there yet leads nowhere: it is drawn before the browser follows the link.
    const led = (event: MouseEvent) => { if ((event.target as Element).closest("a[href^='#']")) draw(all); };
    document.addEventListener("click", led, true);
    return () => document.removeEventListener("click", led, true);
  }, [drawn]);
  return drawn;
}

/** How long what is still being drawn may move the part that a link asked for. */
const settling = 1500;

/** A link may ask for a part of the card. It stays in place until all is drawn, or somebody touches the page. */
function useAsked(): void {
  useEffect(() => {
    const asked = document.getElementById(route.peek().query.get("at") ?? "");
    if (!asked) return;
    const watch = new ResizeObserver(() => asked.scrollIntoView());
    const stop = () => watch.disconnect();
    watch.observe(document.body);
    const timer = setTimeout(stop, settling);
    const touches = ["pointerdown", "wheel", "keydown"];
    for (const t of touches) addEventListener(t, stop, { once: true, passive: true });
    return () => {
      stop();
      clearTimeout(timer);
      for (const t of touches) removeEventListener(t, stop);
    };
  }, []);
}

interface CardSection {
  id: string;
  title: string;
  shown: boolean;
  inside: ComponentChildren;
}

function sectionsOf(of: Doc<Card>, view: View): CardSection[] {
  const has = (list: readonly unknown[] | undefined, unit: string) => (list?.length ?? 0) > 0 || questionsAt(of, unit).length > 0;
  return [
    { id: "setup", title: text.setup, shown: true, inside: <CardSetup of={of} /> },
    { id: "limits", title: text.limits, shown: true, inside: <CardLimits of={of} view={view} /> },
    { id: "steps", title: text.steps, shown: has(view.steps, "steps"), inside: <><CardDrawing of={of} /><Steps of={of} view={view} /></> },
    { id: "if", title: text.ifThen, shown: has(view.triggers, "triggers"), inside: <Ifs of={of} view={view} /> },
    { id: "drugs", title: text.drugs, shown: has(view.drugs, "drugs"), inside: <Drugs of={of} view={view} /> },
    { id: "variants", title: text.variants, shown: has(view.variants, "variants"), inside: <Variants of={of} view={view} /> },
    { id: "fit", title: text.fit, shown: has(view.fit, "fit"), inside: <FitLines of={of} view={view} /> },
    { id: "notes", title: text.notes, shown: Boolean(view.notes_html) || has(of.body.extra, "notes"), inside: <Notes of={of} view={view} /> },
    { id: "surgeon", title: text.surgeonMachine, shown: true, inside: <SurgeonMachine of={of} view={view} /> },
  ];
}

function Notes({ of, view }: { of: Doc<Card>; view: View }) {
  return (
    <>
      <Questions of={of} list={[...questionsAt(of, "notes"), ...questionsAt(of, "extra")]} />
      {view.notes_html && <SafeHTML html={view.notes_html} />}
      {of.body.extra?.map((s) => (
        <div key={s.title} class="stack-close"><h3>{s.title}</h3><p class="lines">{s.body}</p></div>
      ))}
    </>
  );
}

function SurgeonMachine({ of, view }: { of: Doc<Card>; view: View }) {
  const open = [...questionsAt(of, "basics"), ...questionsAt(of, "machine")];
  // A value that is in question stands in the question and nowhere else.
  const hidden = new Set(open.flatMap((q) => [q.base, q.head, q.mine].flatMap((side) => Object.keys(side ?? {}))));
  const cautions = (view.cautions ?? []).filter((c) => /^(basics|machine)\//.test(c.path));
  return (
    <>
      <Questions of={of} list={open} />
      {cautions.map((c) => <Caution key={c.text}>{c.text}</Caution>)}
      <h3>{text.surgeon}</h3>
      <Limits values={(view.basics ?? []).filter((v) => !hidden.has(v.id))} />
      <h3>{text.machine}</h3>
      <Limits values={(view.machine ?? []).filter((v) => !hidden.has(v.id))} />
      <Note>{text.limitsNote}</Note>
    </>
  );
}
