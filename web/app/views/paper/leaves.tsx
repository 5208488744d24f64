import type { ComponentChildren } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { textPaper } from "../../text-paper";
import { pack, sheetsOf, type Page, type Piece } from "./pack";

export type PaperSize = "a4" | "a5";

/** A piece of a page that is not torn apart. */
export interface Block {
  key: string;
  node: ComponentChildren;
  /** A heading: it stays with the block after it. */
  keep?: boolean;
}

export interface Leaf {
  /** What every page begins with: what this is, whose, which revision. */
  head: ComponentChildren;
  /** Over the whole width, first. */
  wide: Block[];
  /** In columns, below. */
  narrow: Block[];
}

/** Size of type in points, number of columns, and whether lists run on in one paragraph. Nothing on paper is smaller than 8 pt. */
type Shape = readonly [size: number, columns: number, close?: boolean];

/** What is tried, the easiest to work from first: a list a line each is worth more than a point of type. */
const shapes: Record<PaperSize, readonly Shape[]> = {
  a4: [[11, 2], [10.5, 2], [10, 2], [9.5, 3], [9, 3], [8.5, 3], [8.5, 4], [8, 3], [8, 4], [9, 3, true], [8.5, 3, true], [8.5, 4, true], [8, 3, true], [8, 4, true]],
  a5: [[11, 1], [10, 1], [10, 2], [9, 2], [8.5, 2], [8, 2], [8, 3], [8.5, 2, true], [8, 2, true], [8, 3, true]],
};

/** Another machine's fonts may run a little wider than this one's: so much of a page stays free. */
const spare = 0.015;

interface Plan {
  look: string;
  pages: Page[];
  of: number;
}

/** The pages as they will be printed, in the largest type in which all of it fits one page; in the smallest, on as many as it takes. */
export function Leaves({ paper, leaf, foot }: { paper: PaperSize; leaf: Leaf; foot: string }) {
  const [plan, setPlan] = useState<Plan | null>(null);
  const probe = useRef<HTMLDivElement>(null);
  const laid = useRef("");
  const lay = (again = false) => {
    if (!probe.current?.offsetWidth) return; // the browser is printing: what was laid out stands
    // Figures are all of one width, so a clock that goes on moves nothing.
    const content = probe.current.textContent!.replace(/\d/g, "0");
    if (content === laid.current && !again) return;
    laid.current = content;
    const next = fit(probe.current, paper, leaf);
    setPlan((now) => (JSON.stringify(now) === JSON.stringify(next) ? now : next));
  };
  useLayoutEffect(() => lay());
  useLayoutEffect(() => {
    let here = true;
    void document.fonts.ready.then(() => { if (here) lay(true); });
    return () => { here = false; };
  }, [paper]);
  return (
    <>
      <div class="leaf-probe" aria-hidden="true" inert ref={probe}>
        <div class="leaf leaf-frame"><div class="leaf-head">{leaf.head}</div><div class="leaf-body" /><p class="leaf-foot">{textPaper.foot(foot, 1, 1)}</p></div>
        <div class="leaf leaf-wides">{leaf.wide.map((b) => <div key={b.key} class="leaf-block">{b.node}</div>)}</div>
        <div class="leaf"><div class="leaf-columns"><div class="leaf-narrows">{leaf.narrow.map((b) => <div key={b.key} class="leaf-block">{b.node}</div>)}</div></div></div>
      </div>
      {plan && plan.pages.map((page, n) => (
        <section key={n} class={`leaf ${plan.look}`} aria-label={textPaper.page(n + 1, plan.of)}>
          <div class="leaf-head">{leaf.head}</div>
          <div class="leaf-body">
            {page.wide.map((i) => <div key={leaf.wide[i]?.key} class="leaf-block">{leaf.wide[i]?.node}</div>)}
            <div class="leaf-columns">
              {page.columns.map((column, c) => (
                <div key={c}>{column.map((i) => <div key={leaf.narrow[i]?.key} class="leaf-block">{leaf.narrow[i]?.node}</div>)}</div>
              ))}
            </div>
          </div>
          <p class="leaf-foot">{textPaper.foot(foot, n + 1, plan.of)}</p>
        </section>
      ))}
    </>
  );
}

function lookOf(paper: PaperSize, [size, columns, close]: Shape): string {
  return `leaf-${paper} leaf-${size * 10} leaf-in-${columns}${close ? " leaf-close" : ""}`;
}

/** Tries the shapes on the probe, which holds every piece once. Where none takes one page, the one that takes fewest. */
function fit(probe: HTMLElement, paper: PaperSize, leaf: Leaf): Plan {
  let best: Plan | undefined;
  for (const shape of shapes[paper]) {
    const look = lookOf(paper, shape);
    probe.className = `leaf-probe ${look}`;
    const wide = heights(probe, ".leaf-wides");
    const tall = heights(probe, ".leaf-narrows");
    const narrow: Piece[] = leaf.narrow.map((b, i) => ({ height: tall[i] ?? 0, ...(b.keep && { keep: true }) }));
    const room = { height: (probe.querySelector(".leaf-body")?.getBoundingClientRect().height ?? 0) * (1 - spare), columns: shape[1] };
    const pages = pack(wide, narrow, room);
    const of = pages.reduce((sum, p) => sum + sheetsOf(p, wide, narrow, room), 0);
    if (!best || of < best.of) best = { look, pages, of };
    if (of === 1) break;
  }
  return best!;
}

function heights(probe: HTMLElement, list: string): number[] {
  return [...(probe.querySelector(list)?.children ?? [])].map((e) => e.getBoundingClientRect().height);
}
