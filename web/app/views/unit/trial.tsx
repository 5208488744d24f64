import { useEffect, useState } from "preact/hooks";
import { core } from "../../core/core";
import type { Card, Case, RuleBook, SheetChange, Trial } from "../../generated/types";
import { dayInWords, Icon, Tag, today } from "../../parts";
import { doc, docsOf, sheetUse } from "../../state";
import { textUnit } from "../../text-unit";
import { nameOf } from "../people";

const words = textUnit.trial;
const settleMillis = 500;
const shownLines = 12;

interface TrialProps {
  base: RuleBook;
  book: RuleBook;
  changed: boolean;
  /** The book has errors: no sheet can be made from it. */
  broken: boolean;
}

/** Shows at once which sheets a change of the house rules would change, and how. */
export function TrialPanel({ base, book, changed, broken }: TrialProps) {
  const { cases, day } = casesToTry();
  const trials = useTrials(base, book, cases, changed && !broken);
  return (
    <section class="trial" aria-labelledby="trial-head">
      <h2 id="trial-head">{words.title}</h2>
      {cases.length === 0 ? <p>{words.noCases}</p>
        : !changed ? <p class="quiet">{words.before}</p>
          : broken ? <p>{words.mendFirst}</p>
            : <>
              <p class="quiet">{words.lead(cases.length, day ? dayInWords(day) : "")}</p>
              <Answer trials={trials} cases={cases} />
            </>}
    </section>
  );
}

function Answer({ trials, cases }: { trials: Trial[] | "trying" | "failed"; cases: readonly Case[] }) {
  if (trials === "trying") return <p role="status">{words.trying}</p>;
  if (trials === "failed") return <p role="status">{words.failed}</p>;
  const touched = trials.filter((t) => t.changes.length > 0 || (t.problems ?? []).length > 0);
  return (
    <>
      <p role="status"><strong>{touched.length === 0 ? words.none(trials.length) : words.some(touched.length, trials.length)}</strong></p>
      {touched.map((t) => {
        const c = cases.find((x) => x.id === t.case);
        return c && <OneCase key={t.case} trial={t} of={c} />;
      })}
    </>
  );
}

function OneCase({ trial, of }: { trial: Trial; of: Case }) {
  const eye = [of.facts?.eye].flat()[0] ?? "";
  const real = trial.changes.filter((c) => c.change !== "reason");
  const reasons = trial.changes.length - real.length;
  return (
    <article class="panel trial-case">
      <h3>{words.caseHead(of.position, eye, nameOf(of.surgeon))}</h3>
      {sheetUse(of.id).value && <p><Tag kind="accent" icon="tray">{words.inUse}</Tag></p>}
      {(trial.problems ?? []).length > 0 && <p>{words.noSheet} {trial.problems?.map((p) => p.text).join(" ")}</p>}
      <ul role="list" class="trial-lines">
        {real.slice(0, shownLines).map((c) => <Change key={c.part + c.change + c.text} of={c} />)}
      </ul>
      {real.length > shownLines && <p class="quiet">{words.more(real.length - shownLines)}</p>}
      {reasons > 0 && <p class="quiet">{words.reasons(reasons)}</p>}
    </article>
  );
}

const icons = { added: "plus", removed: "minus", changed: "edit", reason: "about" } as const;

function Change({ of: c }: { of: SheetChange }) {
  return (
    <li class={`trial-line trial-${c.change}`}>
      <span class="trial-sign"><Icon name={icons[c.change]} /> <strong>{words.changes[c.change]}</strong></span>
      <span><span class="quiet">{c.part}:</span> {c.text}{c.was && <span class="quiet"> ({words.was(c.was)})</span>}</span>
    </li>
  );
}

/** The newest list up to today (else the next one), and every case whose sheet is in use here. */
function casesToTry(): { cases: Case[]; day: string | undefined } {
  const all = docsOf<Case>("case").map((d) => d.body).filter((c) => !c.removed && doc<Card>("card", c.card));
  const days = [...new Set(all.map((c) => c.list))].sort().reverse();
  const day = days.find((d) => d <= today()) ?? days[days.length - 1];
  const cases = all.filter((c) => c.list === day || sheetUse(c.id).value !== null);
  return { cases: cases.sort((a, b) => (a.list === b.list ? a.position - b.position : a.list < b.list ? 1 : -1)), day };
}

function useTrials(from: RuleBook, to: RuleBook, cases: readonly Case[], wanted: boolean): Trial[] | "trying" | "failed" {
  const [trials, setTrials] = useState<Trial[] | "trying" | "failed">("trying");
  const asked = wanted ? JSON.stringify({ from, to, cases: cases.map((c) => ({ card: doc<Card>("card", c.card)?.body, case: c })) }) : "";
  useEffect(() => {
    if (asked === "") return;
    setTrials("trying");
    let gone = false;
    const timer = setTimeout(() => {
      core.call<{ trials: Trial[] }>("trial", JSON.parse(asked)).then(
        (r) => { if (!gone) setTrials(r.trials); },
        () => { if (!gone) setTrials("failed"); },
      );
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [asked]);
  return trials;
}
