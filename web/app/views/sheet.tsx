import { useEffect, useState } from "preact/hooks";
import type { Card, Case, RuleBook } from "../generated/types";
import { announce, Button, Caution, dayInWords, dayShort, EmptyState, Icon, Note, ProblemList, Screen, Tabs, timeInWords, Why } from "../parts";
import { route } from "../router";
import { doc, sheetFromCase, sheetUse, started, status, useSheet, type Problem, type SheetUse } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { textPaper } from "../text-paper";
import { Aloud } from "./aloud";
import { reviewState } from "./cardwords";
import { CaseHead, eyeOfCase } from "./casehead";
import { RecordsLink } from "./debrief";
import { Drills } from "./drills";
import { problemsOf } from "./edit/problems";
import { Limits } from "./limits";
import { sentence, unbroken } from "./names";
import { nameOf } from "./people";
import { newerThan, type Newer } from "./newer";
import { differences, type Difference } from "./sheetdiff";
import { eyeUnsettled, OtherCase } from "./othercase";
import { Setup } from "./setup";
import { cardQuestions, Unresolved } from "./unresolved";
import "./sheet.css";

const words = textCase.sheet;
const faces = ["setup", "limits", "aloud", "if"] as const;
type Face = (typeof faces)[number];
const icons = { setup: "tray", limits: "machine", aloud: "aloud", if: "branch" } as const;

/** The case sheet in use on this device. It opens from what is stored; only making a sheet needs the core. */
export function SheetView() {
  const { parts } = route.value;
  const caseId = parts[1] ?? "";
  const use = sheetUse(caseId).value;
  const face = faces.find((f) => f === parts[2]) ?? "setup";
  if (use) return <InUse key={caseId} use={use} face={face} />;
  const body = doc<Case>("case", caseId)?.body;
  return (
    <Screen title={body ? [words.position(body.position), eyeOfCase(body)].join(" · ") : words.about} back={{ href: "/", label: text.todayTitle }}>
      {!started.value && <p role="status">{textCase.loading}</p>}
      {started.value && !body && <EmptyState title={words.noCase} action={<Button href="/">{textCase.case.missingBack}</Button>} />}
      {started.value && body && <CaseHead body={body} />}
      {started.value && body && <NotMade body={body} />}
    </Screen>
  );
}

function InUse({ use, face }: { use: SheetUse; face: Face }) {
  const position = use.sheet.made.case.position;
  const deep = route.value.parts[3] !== undefined || route.value.query.has("pause"); // a drill or a pause: little else above it
  const quick = face === "if"; // something is going wrong: nothing to decide above it
  const eye = eyeOf(use);
  const base = `/sheet/${use.caseId}`;
  const newer = deep || quick ? null : newerThan(use);
  const differing = useDifferences(use, newer);
  return (
    <Screen wide title={`${words.position(position)} · ${eye ?? words.noEye}`} back={{ href: "/", label: text.todayTitle }}>
      <div class="sheet">
        {!deep && <Head use={use} />}
        {!quick && <OtherCase use={use} />}
        {newer && <NewerOffer use={use} newer={newer} differing={differing} />}
        <Tabs big label={words.tabsLabel} current={face}
          tabs={faces.map((f) => ({ key: f, label: words.tabs[f] ?? f, href: `${base}/${f}`, icon: icons[f] }))} />
        {face === "setup" && <Setup use={use} />}
        {face === "limits" && <Limits use={use} newer={newer} differing={differing} />}
        {face === "aloud" && <Aloud use={use} />}
        {face === "if" && <Drills use={use} />}
        {!deep && !quick && (
          <div class="row">
            <Button big icon="print" href={`${base}/paper`}>{textPaper.printSetup}</Button>
            <Button big icon="print" href={`${base}/paper?part=pauses`}>{textPaper.printPauses}</Button>
          </div>
        )}
        {!deep && <About use={use} />}
      </div>
    </Screen>
  );
}

function Head({ use }: { use: SheetUse }) {
  const { sheet } = use;
  const { made } = sheet;
  const card = doc<Card>("card", made.card);
  const changed = changedWords(use);
  const eye = eyeOf(use);
  return (
    <header class="sheet-head">
      <p class="sheet-eye">{eye ? sentence(eye) : words.noEye}</p>
      <p class="sheet-who"><strong>{nameOf(made.case.surgeon)}</strong> · {cardTitle(use)}</p>
      <p class="quiet small"><span class="sheet-more">{words.listOf(dayInWords(made.case.list))} · </span>{[madeWords(use), changed].filter(Boolean).join(" · ")}</p>
      {card && reviewState(card.body) === "over" && <Caution>{words.reviewPassed(nameOf(card.body.owner))}</Caution>}
    </header>
  );
}

function madeWords({ sheet: { made }, madeAt }: SheetUse): string {
  return words.made(made.card_revision, made.rules_revision, timeInWords(madeAt));
}

/** Who changed the card last before the sheet was made from it; unknown where the history here does not reach so far. */
function changedWords({ sheet: { made } }: SheetUse): string | undefined {
  const changed = doc<Card>("card", made.card)?.history.find((h) => h.rev === made.card_revision);
  return changed && words.cardChanged(dayShort(changed.at), nameOf(changed.by));
}

/** The eye in words; where it is in doubt no eye is named alone. */
function eyeOf(use: SheetUse): string | undefined {
  if (eyeUnsettled(use)) return words.eyeUnsettled;
  return use.sheet.facts.find((f) => f.factor === "eye")?.text;
}

/** The card's title with its technique, said once. */
function cardTitle({ sheet }: SheetUse): string {
  const title = doc<Card>("card", sheet.made.card)?.body.title ?? sheet.title;
  return title.toLowerCase().includes(sheet.technique.toLowerCase()) ? title : `${title} · ${sheet.technique}`;
}

/** Makes a sheet and takes it into use; what stops that is said and nothing is changed. */
function useMaking(body: Case | undefined) {
  const [busy, setBusy] = useState(false);
  const [problems, setProblems] = useState<Problem[]>([]);
  const make = async () => {
    if (!body) return;
    setBusy(true);
    setProblems([]);
    try {
      const before = sheetUse(body.id).peek() !== null;
      await useSheet(body.id, await sheetFromCase(body));
      announce(before ? words.madeNew : words.madeFirst);
    } catch (e) {
      setProblems(problemsOf(e));
    } finally {
      setBusy(false);
    }
  };
  return { busy, problems, make };
}

function NotMade({ body }: { body: Case }) {
  const { busy, problems, make } = useMaking(body);
  return (
    <EmptyState title={words.none} help="scrub-nurse" action={
      <>
        <div class="row">
          <Button kind="primary" big busy={busy} onClick={() => void make()}>{busy ? words.making : words.make}</Button>
          <Button big href={`/case/${body.id}`}>{words.facts}</Button>
        </div>
        <RecordsLink caseId={body.id} />
        {/* Below the buttons: it comes and goes by itself, and they must not move under the finger. */}
        <CoreState />
      </>
    }>
      <ProblemList problems={problems} title={words.notMade} />
    </EmptyState>
  );
}

/** Says when what makes sheets is not ready yet. */
export function CoreState() {
  const core = status.value.core;
  if (core === "failed") return <p role="alert">{textCase.coreFailed}</p>;
  return <p role="status" class="quiet">{core === "starting" ? textCase.coreWait : ""}</p>;
}

/** A sheet in use does not move: what is newer is offered, with what it changes. */
function NewerOffer({ use, newer, differing }: { use: SheetUse; newer: Newer; differing: readonly Difference[] | null }) {
  const kept = useKeptOlder(use.caseId);
  const [open, setOpen] = useState(false);
  const { busy, problems, make } = useMaking(doc<Case>("case", use.caseId)?.body);
  const quiet = kept.value === newer.signature && !open;
  if (quiet) {
    return <p class="sheet-kept">{words.keptNote} <Button kind="quiet" big onClick={() => setOpen(true)}>{words.showNewer}</Button></p>;
  }
  return (
    <div class="sheet-newer" role="region" aria-label={words.newerTitle}>
      <Note word={words.newerTitle} why={<NewerWords newer={newer} differing={differing} />}>{""}</Note>
      <ProblemList problems={problems} title={words.notMade} />
      <div class="row">
        <Button kind="primary" big busy={busy} onClick={() => void make()}>{busy ? words.making : words.makeNew}</Button>
        <Button big onClick={() => { kept.set(newer.signature); setOpen(false); }}>{words.keepThis}</Button>
      </div>
    </div>
  );
}

/** What is newer, and what of it would come to stand on this sheet; the steps only while that is not known. */
function NewerWords({ newer, differing }: { newer: Newer; differing: readonly Difference[] | null }) {
  const steps = differing === null;
  return (
    <>
      <ul>{newer.parts.map((p) => <li key={p.text}>{p.text}{steps && p.changes.length > 0 && <ul>{p.changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>}</li>)}</ul>
      {differing && <Differing list={differing} />}
    </>
  );
}

const shownDifferences = 6;
const signs = { added: "plus", removed: "minus", changed: "edit" } as const;

function Differing({ list }: { list: readonly Difference[] }) {
  if (list.length === 0) return <p>{words.noDifference}</p>;
  const rest = list.slice(shownDifferences);
  const lines = (some: readonly Difference[]) => <ul role="list" class="differences">{some.map((d) => <li key={d.part + d.change + d.name + d.text}><OneDifference of={d} /></li>)}</ul>;
  return (
    <>
      <p>{words.difference.head(list.length)}</p>
      {lines(list.slice(0, shownDifferences))}
      {rest.length > 0 && <Why label={words.difference.more(rest.length)}>{lines(rest)}</Why>}
    </>
  );
}

function OneDifference({ of: d }: { of: Difference }) {
  return (
    <>
      <Icon name={signs[d.change]} /> <strong>{words.difference.words[d.change]}</strong>{" "}
      <span class="quiet">{d.part}:</span> {unbroken(d.name)}
      {d.change === "changed"
        ? d.changes.map((c) => <span key={c.was + c.now}>, {unbroken(`${c.was} → ${c.now}`)}</span>)
        : d.text && d.text !== d.name && <span class="quiet">, {unbroken(d.text)}</span>}
    </>
  );
}

/** Which newer state somebody decided not to take; asked again only when something newer still comes. */
function useKeptOlder(caseId: string) {
  const key = `sideport/kept-older/${caseId}`;
  const [value, setValue] = useState(() => read(key));
  return { value, set: (v: string) => { setValue(v); write(key, v); } };
}

function read(key: string): string | null {
  try { return localStorage.getItem(key); } catch { return null; }
}

function write(key: string, value: string): void {
  try { localStorage.setItem(key, value); } catch { /* it is only asked again */ }
}

/** What would differ on a sheet made now; null until the core has looked. */
function useDifferences(use: SheetUse, newer: Newer | null): Difference[] | null {
  const [found, setFound] = useState<Difference[] | null>(null);
  const ready = status.value.core === "ready";
  useEffect(() => {
    setFound(null);
    const body = doc<Case>("case", use.caseId)?.body;
    if (!newer || !ready || !body) return;
    let gone = false;
    sheetFromCase(body)
      .then((fresh) => { if (!gone) setFound(differences(use.sheet, fresh)); })
      .catch(() => undefined); // why it cannot be made is said when somebody asks for it
    return () => { gone = true; };
  }, [newer?.signature, ready, use.sheet]);
  return found;
}

/** Everything the sheet was made from, for whoever asks why. */
function About({ use }: { use: SheetUse }) {
  const { sheet } = use;
  const unknown = sheet.not_known ?? [];
  const basics = cardQuestions(use).filter((q) => q.unit.startsWith("basics/") || q.unit.startsWith("machine/"));
  const inQuestion = new Set(basics.flatMap((q) => [q.base, q.head, q.mine].flatMap((side) => Object.keys(side ?? {}))));
  return (
    <details class="sheet-about">
      <summary>{words.about}</summary>
      <div class="sheet-about-inside">
        <p class="quiet">{words.reference}</p>
        <p class="quiet">{[words.listOf(dayInWords(sheet.made.case.list)), madeWords(use), changedWords(use)].filter(Boolean).join(" · ")}</p>
        {(sheet.fit ?? []).length > 0 && <section>
          <h3>{words.aboutFit}</h3>
          <ul>{sheet.fit?.map((f) => <li key={f.text + f.reason}><strong>{f.known ? textCase.case[f.speaks === "for" ? "fitFor" : "fitAgainst"] : textCase.case.fitUnknown}</strong>: {f.text}. {f.reason}</li>)}</ul>
        </section>}
        {(sheet.variants ?? []).length > 0 && <section>
          <h3>{words.aboutVariants}</h3>
          <ul>{sheet.variants?.map((v) => <li key={v.key}><strong>{v.title}</strong>: {v.holds ? words.variantHolds : words.variantOpen}. {v.why.map((w) => w.text).join("; ")} {v.note}</li>)}</ul>
        </section>}
        {unknown.length > 0 && <section>
          <h3>{words.aboutUnknown}</h3>
          <p>{unknown.map((f) => f.label).join(" · ")}</p>
        </section>}
        <section>
          <h3>{words.aboutFacts}</h3>
          <ul>{sheet.facts.map((f) => <li key={f.factor}>{f.label}: <strong>{f.text}</strong></li>)}</ul>
        </section>
        {(sheet.basics ?? []).length > 0 && <section>
          <h3>{words.aboutBasics}</h3>
          {basics.map((q) => <Unresolved key={q.id} question={q}>{`${q.label}. ${textCase.setup.unresolved}`}</Unresolved>)}
          <ul>{sheet.basics?.filter((s) => !inQuestion.has(s.id)).map((s) => <li key={s.id}>{s.label}: <strong>{s.value}{s.unit && `\u00a0${s.unit}`}</strong></li>)}</ul>
        </section>}
        <div class="row">
          <Button big href={`/case/${use.caseId}`} icon="edit">{words.facts}</Button>
          <Button big href={`/cards/${sheet.made.card}`} icon="cards">{words.card}</Button>
          {doc<RuleBook>("rules", "house")?.body.parts?.risk?.on && <Button big href={`/risk/${use.caseId}`}>{text.riskEntry}</Button>}
        </div>
      </div>
    </details>
  );
}
