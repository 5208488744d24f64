import type { Pause, PauseLine } from "../../generated/types";
import { unbroken } from "../../parts";
import type { SheetUse } from "../../state";
import { textPaper } from "../../text-paper";
import { sentence } from "../names";
import { OtherCase } from "../othercase";
import type { Block, Leaf } from "./leaves";
import { section } from "./parts";
import { SheetHead } from "./sheetpaper";

const words = textPaper;

/** The pauses of a case for one page, in the order and the words of the screen, with room for the answers. */
export function pausesLeaf(use: SheetUse): Leaf {
  return {
    head: <SheetHead use={use} />,
    wide: [{ key: "other-case", node: <OtherCase use={use} /> }, { key: "mind", node: <p class="leaf-section">{words.pausesMind}</p> }],
    narrow: use.sheet.pauses.flatMap(pauseBlocks),
  };
}

function pauseBlocks(pause: Pause): Block[] {
  const head = section(pause.id, sentence(pause.id), pause.when);
  if (pause.lines.length === 0) return [head, { key: `${pause.id}-empty`, node: <p>{words.emptyPause}</p> }];
  return [head, ...pause.lines.map((l, n): Block => ({ key: `${pause.id}-${l.id}`, node: <LineToAsk line={l} n={n + 1} /> }))];
}

/** One line. What is stored is not printed: it is compared after somebody has read the thing itself aloud. */
function LineToAsk({ line: l, n }: { line: PauseLine; n: number }) {
  return (
    <p class="leaf-line">
      <span>{n}</span>
      <span>
        <strong>{unbroken(l.text)}</strong> {l.stored && words.storedMark} {words.asksAnswers(l.ask, l.answer)}
        {l.question && ` ${words.question}`}
        {l.added && l.why[0] && ` ${words.added(unbroken(l.why[0].text))}`}
        {l.expect && <em> {unbroken(l.expect)}</em>} <span class="leaf-answer" />
      </span>
    </p>
  );
}
