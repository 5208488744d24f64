import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Card, Case } from "../../generated/types";
import { Button, EmptyState, Screen } from "../../parts";
import { route } from "../../router";
import { doc, sheetUse, started } from "../../state";
import { textCase } from "../../text-case";
import { textPaper } from "../../text-paper";
import { NoCard } from "../card";
import { cardLeaf } from "./cardpaper";
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
    <Paper title={words.titleCard} back={back} foot={of.body.title} leaf={(paper) => cardLeaf(of, view, paper)}
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
  return <Paper key={String(pauses)} title={title} back={back} foot={`${textCase.sheet.position(use.sheet.made.case.position)} · ${title}`} leaf={() => (pauses ? pausesLeaf(use) : setupLeaf(use))} />;
}

interface PaperProps {
  title: string;
  back: { href: string; label: string };
  /** What stands at the foot of every page before its number. */
  foot: string;
  leaf: (paper: PaperSize) => Leaf;
  more?: preact.ComponentChildren;
}

function Paper({ title, back, foot, leaf, more }: PaperProps) {
  const [paper, setPaper] = useState<PaperSize>("a4");
  const desk = useRef<HTMLDivElement>(null);
  useWholePage(desk, paper);
  return (
    <Screen title={title} back={back} wide>
      <div class="paper-tools">
        <p class="quiet">{words.lead}</p>
        <div class="row">
          <div class="row" role="group" aria-label={words.sizes}>
            {(["a4", "a5"] as const).map((s) => <Button key={s} pressed={paper === s} onClick={() => setPaper(s)}>{words.sizeNames[s]}</Button>)}
          </div>
          <Button kind="primary" icon="print" onClick={() => print()}>{words.print}</Button>
        </div>
        {more}
      </div>
      <div class="paper" role="region" aria-label={words.preview} ref={desk}>
        <Leaves key={paper} paper={paper} leaf={leaf(paper)} foot={foot} />
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
