import { useEffect, useState } from "preact/hooks";
import type { Card, Case, RuleBook } from "../generated/types";
import { announce, Button, Caution, dayInWords, dayShort, EmptyState, Note, ProblemList, Screen, Tabs, timeInWords } from "../parts";
import { route } from "../router";
import { doc, sheetFromCase, sheetUse, started, status, useSheet, type Problem, type SheetUse } from "../state";
import { text } from "../text";
import { textCase } from "../text-case";
import { Aloud } from "./aloud";
import { reviewState } from "./cardwords";
import { Drills } from "./drills";
import { problemsOf } from "./edit/problems";
import { Limits } from "./limits";
import { sentence, unbroken } from "./names";
import { nameOf } from "./people";
import { newerThan, type Newer } from "./newer";
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
    <Screen title={body ? words.position(body.position) : words.about} back={{ href: "/", label: textCase.case.missingBack }}>
      {!started.value && <p role="status">{textCase.loading}</p>}
      {started.value && !body && <EmptyState title={words.noCase} action={<Button href="/">{textCase.case.missingBack}</Button>} />}
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
  return (
    <Screen wide title={`${words.position(position)} · ${eye ?? words.noEye}`} back={{ href: "/", label: textCase.case.missingBack }}>
      <div class="sheet">
        {!deep && <Head use={use} />}
        {!quick && <OtherCase use={use} />}
        {!deep && !quick && <NewerOffer use={use} />}
        <Tabs big label={words.tabsLabel} current={face}
          tabs={faces.map((f) => ({ key: f, label: words.tabs[f] ?? f, href: `${base}/${f}`, icon: icons[f] }))} />
        {face === "setup" && <Setup use={use} />}
        {face === "limits" && <Limits use={use} />}
        {face === "aloud" && <Aloud use={use} />}
        {face === "if" && <Drills use={use} />}
        {!deep && <About use={use} />}
      </div>
    </Screen>
  );
}

function Head({ use }: { use: SheetUse }) {
  const { sheet } = use;
  const { made } = sheet;
  const card = doc<Card>("card", made.card);
  const changed = card?.history.find((h) => h.rev === made.card_revision);
  const eye = eyeOf(use);
  return (
    <header class="sheet-head">
      <p class="sheet-eye">{eye ? sentence(eye) : words.noEye}</p>
      <p class="sheet-who"><strong>{nameOf(made.case.surgeon)}</strong> · {cardTitle(use)}</p>
      <p class="quiet small">{words.listOf(dayInWords(made.case.list))} · {words.made(made.card_revision, made.rules_revision, timeInWords(use.madeAt))}{changed && ` · ${words.cardChanged(dayShort(changed.at), nameOf(changed.by))}`}</p>
      {card && reviewState(card.body) === "over" && <Caution>{words.reviewPassed(nameOf(card.body.owner))}</Caution>}
    </header>
  );
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
      await useSheet(body.id, await sheetFromCase(body));
      announce(words.madeNew);
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
    <EmptyState title={words.none} action={
      <>
        <div class="row">
          <Button kind="primary" big busy={busy} onClick={() => void make()}>{busy ? words.making : words.make}</Button>
          <Button big href={`/case/${body.id}`}>{words.facts}</Button>
        </div>
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
function NewerOffer({ use }: { use: SheetUse }) {
  const newer = newerThan(use);
  const kept = useKeptOlder(use.caseId);
  const [open, setOpen] = useState(false);
  const { busy, problems, make } = useMaking(doc<Case>("case", use.caseId)?.body);
  const same = useWouldBeSame(use, newer);
  if (!newer) return null;
  const quiet = kept.value === newer.signature && !open;
  if (quiet) {
    return <p class="sheet-kept">{words.keptNote} <Button kind="quiet" big onClick={() => setOpen(true)}>{words.showNewer}</Button></p>;
  }
  return (
    <div class="sheet-newer" role="region" aria-label={words.newerTitle}>
      <Note word={words.newerTitle} why={<NewerWords newer={newer} same={same} />}>{""}</Note>
      <ProblemList problems={problems} title={words.notMade} />
      <div class="row">
        <Button kind="primary" big busy={busy} onClick={() => void make()}>{busy ? words.making : words.makeNew}</Button>
        <Button big onClick={() => { kept.set(newer.signature); setOpen(false); }}>{words.keepThis}</Button>
      </div>
    </div>
  );
}

function NewerWords({ newer, same }: { newer: Newer; same: boolean }) {
  return (
    <>
      <ul>{newer.parts.map((p) => <li key={p.text}>{p.text}{p.changes.length > 0 && <ul>{p.changes.map((c) => <li key={c}>{unbroken(c)}</li>)}</ul>}</li>)}</ul>
      {same && <p>{words.noDifference}</p>}
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

/** Whether a sheet made now would say the same; false until the core has looked. */
function useWouldBeSame(use: SheetUse, newer: Newer | null): boolean {
  const [same, setSame] = useState(false);
  const ready = status.value.core === "ready";
  useEffect(() => {
    setSame(false);
    const body = doc<Case>("case", use.caseId)?.body;
    if (!newer || !ready || !body) return;
    let gone = false;
    sheetFromCase(body)
      .then((fresh) => { if (!gone) setSame(content(fresh) === content(use.sheet)); })
      .catch(() => undefined); // why it cannot be made is said when somebody asks for it
    return () => { gone = true; };
  }, [newer?.signature, ready, use.sheet]);
  return same;
}

function content(sheet: SheetUse["sheet"]): string {
  return JSON.stringify({ ...sheet, made: null });
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
