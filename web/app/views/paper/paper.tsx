import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Card, Case } from "../../generated/types";
import { Button, EmptyState, Screen } from "../../parts";
import { route } from "../../router";
import { doc, sheetUse, started } from "../../state";
import { textCase } from "../../text-case";
import { textPaper } from "../../text-paper";
import { NoCard } from "../card";
import { cardLeaf, shortLeaf } from "./cardpaper";
import { Leaves, type Leaf, type PaperSize } from "./leaves";
import "./paper.css";
import { pausesLeaf } from "./pausepaper";
import { setupLeaf } from "./sheetpaper";

const words = textPaper;

/** A card as one page, where its content allows. */
export function CardPaper() {
  const of = doc<Card>("card", route.value.parts[1] ?? "");
  if (!of) return <NoCard />;
  const back = { href: `/cards/${of.id}`, label: of.body.title };
  const { view } = of;
  if (!view) return <Screen title={words.titleCard} back={back}><EmptyState title={words.notReady}><p>{words.notReadyWhy}</p></EmptyState></Screen>;
  return (
    <Paper title={words.titleCard} back={back} foot={of.body.title} forms={{
      a4: { paper: "a4", leaf: () => cardLeaf(of, view, "a4") },
      short: { paper: "a5", leaf: () => shortLeaf(of, view, "a5") },
      whole: { paper: "a5", leaf: () => cardLeaf(of, view, "a5") },
    }}
      more={<p class="quiet">{words.longForm} <Button kind="quiet" href={back.href}>{words.openCard}</Button></p>} />
  );
}

/** The set-up or the pauses of a case as one page. */
export function SheetPaper() {
  const { parts, query } = route.value;
  const caseId = parts[1] ?? "";
  const use = sheetUse(caseId).value;
  const body = doc<Case>("case", caseId)?.body;
  const pauses = query.get("part") === "pauses";
  const title = pauses ? words.titlePauses : words.titleSetup;
  const back = { href: `/sheet/${caseId}/${pauses ? "aloud" : "setup"}`, label: body ? textCase.sheet.position(body.position) : textCase.sheet.about };
  if (!use) return <Screen title={title} back={back}>{started.value && <EmptyState title={textCase.sheet.none} action={<Button href={back.href}>{back.label}</Button>} />}</Screen>;
  const leaf = () => (pauses ? pausesLeaf(use) : setupLeaf(use));
  return <Paper key={String(pauses)} title={title} back={back} foot={`${textCase.sheet.position(use.sheet.made.case.position)} · ${title}`}
    forms={{ a4: { paper: "a4", leaf }, a5: { paper: "a5", leaf } }} />;
}

/** What is printed, and on what: the names are those of the buttons. */
type Forms = Partial<Record<keyof typeof words.forms, { paper: PaperSize; leaf: () => Leaf }>>;

interface PaperProps {
  title: string;
  back: { href: string; label: string };
  /** What stands at the foot of every page before its number. */
  foot: string;
  /** The first one is shown first. */
  forms: Forms;
  more?: preact.ComponentChildren;
}

function Paper({ title, back, foot, forms, more }: PaperProps) {
  const names = Object.keys(forms) as (keyof Forms)[];
  const [name, setName] = useState(names[0]!);
  const { paper, leaf } = forms[name]!;
  const desk = useRef<HTMLDivElement>(null);
  useWholePage(desk, paper);
  return (
    <Screen title={title} back={back} wide>
      <div class="paper-tools">
        <p class="quiet">{words.lead}</p>
        <div class="row">
          <div class="row" role="group" aria-label={words.sizes}>
            {names.map((n) => <Button key={n} pressed={name === n} onClick={() => setName(n)}>{words.forms[n]}</Button>)}
          </div>
          <Button kind="primary" icon="print" onClick={() => print()}>{words.print}</Button>
        </div>
        {more}
      </div>
      <div class="paper" role="region" aria-label={words.preview} ref={desk}>
        <Leaves key={name} paper={paper} leaf={leaf()} foot={foot} />
      </div>
    </Screen>
  );
}

/** The widths of pages in CSS pixels, of which 96 make an inch, with their edge. */
const widths: Record<PaperSize, number> = { a4: 796, a5: 562 };

/** Makes pages on the screen as small as it takes for a whole one to be seen. */
function useWholePage(desk: RefObject<HTMLElement>, paper: PaperSize): void {
  useLayoutEffect(() => {
    const el = desk.current;
    if (!el) return;
    const tell = () => el.style.setProperty("--paper-zoom", String(Math.min(1, el.clientWidth / widths[paper])));
    const watch = new ResizeObserver(tell);
    watch.observe(el);
    tell();
    return () => watch.disconnect();
  }, [paper]);
}
