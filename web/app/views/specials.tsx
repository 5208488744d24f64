import { useState } from "preact/hooks";
import type { Special } from "../generated/types";
import { Icon, Why } from "../parts";
import { Because, WeightSign } from "../parts/because";
import type { SheetUse } from "../state";
import { textCase } from "../text-case";
import { unbroken } from "./names";

const words = textCase.setup;

/**
 * What is special about the case, in little room: stops stand open, because somebody must answer them; the cautions are
 * one band that says how many there are and the first of them, so that the first thing to lay out is in sight.
 */
export function Specials({ use }: { use: SheetUse }) {
  const specials = use.sheet.special ?? [];
  const cautions = specials.filter((s) => s.weight !== "stop");
  const unknown = use.sheet.not_known?.length ?? 0;
  return (
    <>
      <SpecialList list={specials.filter((s) => s.weight === "stop")} />
      {cautions.length === 0 && unknown > 0 && <p class="quiet small">{textCase.sheet.notKnown(unknown)}</p>}
      {cautions[0] && <Band cautions={cautions} first={cautions[0]} unknown={unknown} />}
    </>
  );
}

/** A fold that paper does not know: there the cautions stand open. */
function Band({ cautions, first, unknown }: { cautions: readonly Special[]; first: Special; unknown: number }) {
  const [open, setOpen] = useState(false);
  return (
    <div class={open ? "specials-more specials-open" : "specials-more"}>
      <button type="button" class="specials-fold" aria-expanded={open} onClick={() => setOpen(!open)}>
        <span class="specials-head">
          <WeightSign weight="caution" word={words.cautions(cautions.length)} />
          {unknown > 0 && <span class="quiet small">{words.notKnown(unknown)}</span>}
          <Icon name={open ? "up" : "down"} />
        </span>
        {!open && <span class="specials-first">{unbroken(first.text)}</span>}
      </button>
      <div class="specials-folded">
        <SpecialList list={cautions} />
        {unknown > 0 && <p class="quiet small">{textCase.sheet.notKnown(unknown)}</p>}
      </div>
    </div>
  );
}

function SpecialList({ list }: { list: readonly Special[] }) {
  if (list.length === 0) return null;
  return (
    <ul role="list" class="specials">
      {list.map((s) => (
        <li key={s.text} class={`special special-${s.weight}`}>
          <WeightSign weight={s.weight} />
          <div>
            <p class="special-text">{unbroken(s.text)}</p>
            <Why><Because why={s.why} whole /></Why>
          </div>
        </li>
      ))}
    </ul>
  );
}
