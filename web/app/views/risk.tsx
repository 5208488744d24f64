import { useEffect, useState } from "preact/hooks";
import { core, CoreError } from "../core/core";
import type { Assessment, Case, Input, Line, Parts, Problem, Result, RuleBook, Table } from "../generated/types";
import { words as answers } from "../generated/vocabulary";
import { Button, Caution, Choice, EmptyState, Limits, Note, ProblemList, Screen, Tag } from "../parts";
import { route } from "../router";
import { doc, sheetUse, status } from "../state";
import { textUnit } from "../text-unit";
import "./risk.css";
import { useRiskTables, type RiskTables } from "./unit/tables";

const words = textUnit.risk;

/** What published models say about one case, where the unit has turned this part on; the published tables in any case. */
export function Risk() {
  const id = route.value.parts[1] ?? "";
  const body = doc<Case>("case", id)?.body;
  const parts = doc<RuleBook>("rules", "house")?.body.parts;
  const tables = useRiskTables();
  const back = sheetUse(id).value ? { href: `/sheet/${id}/setup`, label: words.backSheet } : { href: body ? `/case/${id}` : "/", label: body ? words.backCase : textUnit.backToday };
  return (
    <Screen title={words.title} back={back}>
      {!body && <EmptyState title={words.noCase} action={<Button href="/">{textUnit.backToday}</Button>} />}
      {!tables && <p role="status">{status.value.core === "failed" ? textUnit.coreFailed : textUnit.coreWait}</p>}
      {tables && body && (parts?.risk?.on ? <On key={id} of={body} parts={parts} tables={tables} /> : <Off tables={tables} />)}
      {tables && <Tables list={tables.tables} />}
    </Screen>
  );
}

function Off({ tables }: { tables: RiskTables }) {
  return (
    <section class="panel stack" aria-labelledby="risk-off">
      <h2 id="risk-off">{words.off}</h2>
      <p>{words.offWhy}</p>
      <h3>{words.purpose}</h3>
      <p>{tables.purpose}</p>
      <div><Button href="/rules/parts">{words.offDo}</Button></div>
    </section>
  );
}

type Given = Record<string, string>;

function On({ of, parts, tables }: { of: Case; parts: Parts; tables: RiskTables }) {
  const [given, setGiven] = useState<Given>({});
  const answer = useAssessment(of, parts, given);
  const eye = [of.facts?.eye].flat()[0] ?? "";
  return (
    <>
      <p class="risk-case">{words.forCase(of.position, eye)}</p>
      {answer && "assessment" in answer && <Says of={answer.assessment} />}
      {answer && "problems" in answer && <ProblemList problems={answer.problems} title={words.failed} />}
      <Inputs list={tables.inputs} given={given} onChange={setGiven} />
      <details class="risk-purpose">
        <summary>{words.purpose}</summary>
        <p>{tables.purpose}</p>
      </details>
    </>
  );
}

function Says({ of }: { of: Assessment }) {
  return (
    <>
      <section aria-label={words.groups}>
        <Limits values={of.results.flatMap((r) => r.headline.slice(0, 1).map((h) => ({ ...h, id: r.model, label: r.name })))} />
      </section>
      <Caution word={words.mind} why={<ul class="risk-mind">{of.cautions.slice(1).map((c) => <li key={c}>{c}</li>)}</ul>}>{of.cautions[0]}</Caution>
      {of.results.map((r) => <ModelResult key={r.model} of={r} />)}
    </>
  );
}

/** One model: the group first, then the estimate, the score and the year; then what counts. */
function ModelResult({ of: r }: { of: Result }) {
  const [group, ...rest] = r.headline;
  return (
    <article class="panel stack risk-model" aria-labelledby={`model-${r.model}`}>
      <h2 id={`model-${r.model}`}>{r.name}</h2>
      {group && <p class="risk-group"><span class="quiet">{group.label}:</span> <strong>{group.value}</strong>{group.extra && <span class="quiet"> ({group.extra})</span>}</p>}
      <Limits values={rest} />
      <Lines list={r.lines} />
      <Detail title={words.working} list={r.working} />
      <Detail title={words.figures} list={r.figures ?? []} />
      <Detail title={words.about} list={[`${r.source}. ${r.population}.`, r.reading, ...r.cautions]} />
    </article>
  );
}

function Lines({ list }: { list: readonly Line[] }) {
  return (
    <div>
      <h3>{words.lines}</h3>
      <ul role="list" class="risk-lines">
        {list.map((l) => (
          <li key={l.item} class={l.state === "counts" ? "risk-line risk-counts" : "risk-line"}>
            <span><strong>{l.label}</strong>: {l.level}</span>
            <span class="risk-marks"><State of={l.state} /> <span>{l.effect}</span> <Tag kind={l.mark === "published" ? "plain" : "caution"}>{l.mark}</Tag></span>
            {(l.because ?? []).length > 0 && <span class="quiet">{words.because(l.because?.join("; ") ?? "")}</span>}
            {(l.missing ?? []).length > 0 && <span class="quiet">{words.unknown(l.missing?.join("; ") ?? "")}</span>}
            {l.substituted && <span class="quiet">{l.substituted}</span>}
          </li>
        ))}
      </ul>
    </div>
  );
}

function State({ of }: { of: string }) {
  if (of === "counts") return <Tag kind="accent" icon="plus">{of}</Tag>;
  return of === "does not count" ? <Tag>{of}</Tag> : <Tag kind="notknown">{of}</Tag>;
}

function Detail({ title, list }: { title: string; list: readonly string[] }) {
  if (list.length === 0) return null;
  return (
    <details class="risk-detail">
      <summary>{title}</summary>
      <ul>{list.map((l) => <li key={l}>{l}</li>)}</ul>
    </details>
  );
}

/** Given while looking, kept nowhere: they live in this screen and go with it. */
function Inputs({ list, given, onChange }: { list: readonly Input[]; given: Given; onChange: (g: Given) => void }) {
  return (
    <section class="stack" aria-labelledby="risk-given">
      <h2 id="risk-given">{words.given}</h2>
      <Note>{words.givenLead}</Note>
      {list.map((i) => (
        <Choice key={i.id} legend={i.label} hint={i.hint} value={given[i.id] ?? ""} notKnown="" onChange={(v) => onChange({ ...given, [i.id]: v })}
          options={[...i.options, answers.notKnown, { value: "", label: words.notAsked }]} />
      ))}
    </section>
  );
}

function Tables({ list }: { list: readonly Table[] }) {
  return (
    <section class="stack" aria-labelledby="risk-tables">
      <h2 id="risk-tables">{words.tables}</h2>
      <p class="quiet">{words.tablesLead}</p>
      {list.map((t) => <OneTable key={t.id} of={t} />)}
    </section>
  );
}

function OneTable({ of: t }: { of: Table }) {
  return (
    <details class="panel risk-table" open={t.id === "muhtaseb-2004-points"}>
      <summary><strong>{t.title}</strong></summary>
      <p class="quiet">{t.source}</p>
      <div class="risk-scroll" tabIndex={0} role="region" aria-label={t.title}>
        <table>
          <thead><tr>{t.columns.map((c) => <th key={c} scope="col">{c}</th>)}</tr></thead>
          <tbody>
            {t.rows.map((row, i) => (
              <tr key={i}>{row.map((c, n) => (n === 0 ? <th key={n} scope="row">{c.text}</th>
                : <td key={n}>{c.text}{c.mark && c.mark !== "published" && <span class="quiet"> ({c.mark})</span>}</td>))}</tr>
            ))}
          </tbody>
        </table>
      </div>
      <ul>{(t.notes ?? []).map((n) => <li key={n}>{n}</li>)}</ul>
    </details>
  );
}

type Answer = { assessment: Assessment } | { problems: Problem[] } | null;

function useAssessment(of: Case, parts: Parts, given: Given): Answer {
  const [answer, setAnswer] = useState<Answer>(null);
  const asked = JSON.stringify({ parts, case: of, given });
  useEffect(() => {
    let gone = false;
    core.call<Assessment>("risk", JSON.parse(asked)).then(
      (assessment) => { if (!gone) setAnswer({ assessment }); },
      (e: unknown) => { if (!gone) setAnswer({ problems: problemsOf(e) }); },
    );
    return () => { gone = true; };
  }, [asked]);
  return answer;
}

function problemsOf(e: unknown): Problem[] {
  if (e instanceof CoreError && e.problems.length > 0) return e.problems;
  return [{ level: "error", code: "failed", path: "", text: e instanceof Error ? e.message : String(e) }];
}
