import { useState } from "preact/hooks";
import type { Special } from "../generated/types";
import { Icon, Why } from "../parts";
import { Because, WeightSign } from "../parts/because";
import type { SheetUse } from "../state";
import { textCase } from "../text-case";
import { allergiesOf, allergyFirst, withheldOn } from "./allergy";
import { unbroken } from "./names";

const words = textCase.setup;

/**
 * What is special about the case, in little room: stops stand open, because somebody must answer them; the cautions are
 * one band that says how many there are and the first of them, so that the first thing to lay out is in sight.
 * Allergies and what is withheld are named even there, because they harm whoever does not open the band.
 */
export function Specials({ use }: { use: SheetUse }) {
  const specials = use.sheet.special ?? [];
  const cautions = allergyFirst(specials.filter((s) => s.weight !== "stop"));
  const unknown = use.sheet.not_known?.length ?? 0;
  return (
    <>
      <SpecialList list={allergyFirst(specials.filter((s) => s.weight === "stop"))} />
      {cautions.length === 0 && <Named use={use} />}
      {cautions.length === 0 && unknown > 0 && <p class="quiet small">{textCase.sheet.notKnown(unknown)}</p>}
      {cautions[0] && <Band use={use} cautions={cautions} first={cautions[0]} unknown={unknown} />}
    </>
  );
}

/** A fold that paper does not know: there the cautions stand open. */
function Band({ use, cautions, first, unknown }: { use: SheetUse; cautions: readonly Special[]; first: Special; unknown: number }) {
  const [open, setOpen] = useState(false);
  return (
    <div class={open ? "specials-more specials-open" : "specials-more"}>
      <button type="button" class="specials-fold" aria-expanded={open} onClick={() => setOpen(!open)}>
        <span class="specials-head">
          <WeightSign weight="caution" word={words.cautions(cautions.length)} />
          {unknown > 0 && <span class="quiet small">{words.notKnown(unknown)}</span>}
          <Icon name={open ? "up" : "down"} />
        </span>
        <Named use={use} />
        {!open && <span class="specials-first">{unbroken(first.text)}</span>}
      </button>
      <div class="specials-folded">
        <SpecialList list={cautions} />
        {unknown > 0 && <p class="quiet small">{textCase.sheet.notKnown(unknown)}</p>}
      </div>
    </div>
  );
}

/** What the patient is allergic to and what is withheld, by name and whole: never cut short, never folded. */
function Named({ use: { sheet } }: { use: SheetUse }) {
  const allergies = allergiesOf(sheet.made.case);
  const withheld = withheldOn(sheet);
  return (
    <>
      {allergies.length > 0 && <span class="specials-named"><Icon name="caution" /> <strong>{unbroken(words.allergy(allergies.join(", ")))}</strong></span>}
      {withheld.length > 0 && <span class="specials-named"><Icon name="cross" /> <strong>{unbroken(words.withheldAre(withheld.join(", ")))}</strong></span>}
    </>
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
