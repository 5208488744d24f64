import type { ComponentChildren } from "preact";
import type { Place, State } from "../generated/types";
import { Button, Icon, Note } from "../parts";
import { textDrawing } from "../text-drawing";
import { layout, otherHand, type HandWord } from "./layout";
import "./trolley.css";

const words = textDrawing.trolley;

/** What is drawn: an item of a card or a line of a sheet. */
export interface Thing {
  key: string;
  name: string;
  quantity: number;
  state: State;
  place?: Place | undefined;
  special?: boolean;
  ticked?: boolean;
  /** Why only the name stands here, where two people changed it differently. */
  unresolved?: boolean;
}

interface TrolleyProps<T extends Thing> {
  things: readonly T[];
  mirrored: boolean;
  children?: (thing: T) => ComponentChildren;
  /** The place under a dragged item. */
  target?: Place | "" | null;
}

/** The trolley as it is seen by who stands at it; below it what does not lie there. */
export function TrolleyDrawing<T extends Thing>({ things, mirrored, target, children = (t) => <ThingFace thing={t} /> }: TrolleyProps<T>) {
  const { cells, rest } = layout(things, mirrored);
  const list = (items: T[]) => <ul role="list" class="stack-close">{items.map((t) => <li key={t.key}>{children(t)}</li>)}</ul>;
  return (
    <div class="trolley stack-close" role="group" aria-label={words.title}>
      <p class="trolley-edge">{words.back}</p>
      <div class="trolley-top">
        {cells.map((c) => (
          <div key={c.place} class={c.place === target ? "trolley-cell stack-close trolley-target" : "trolley-cell stack-close"} data-place={c.place}>
            <h3>{c.place}</h3>
            {c.items.length > 0 ? list(c.items) : <p class="quiet small">{words.empty}</p>}
          </div>
        ))}
      </div>
      <p class="trolley-edge">{words.front}</p>
      {rest.length > 0 && (
        <>
          <h3>{words.rest}</h3>
          <div class={target === "" ? "trolley-rest trolley-target" : "trolley-rest"} data-place="">
            {rest.map(([place, items]) => <div key={place}><h4>{place || words.noPlace}</h4>{list(items)}</div>)}
          </div>
        </>
      )}
    </div>
  );
}

export const classOf = (t: Thing) => ["thing", t.state === "have ready" && "thing-ready", t.special && "thing-special"].filter(Boolean).join(" ");

export function ThingFace({ thing }: { thing: Thing }) {
  return <div class={classOf(thing)}><ThingWords thing={thing} /></div>;
}

/** Every mark is a word or a shape with a word; the line around it only helps. */
export function ThingWords({ thing: t }: { thing: Thing }) {
  return (
    <>
      <span>{t.quantity > 1 && !t.unresolved && <strong>{words.times(t.quantity)} </strong>}{t.name}</span>
      {t.special && <span class="thing-mark"><Icon name="branch" />{words.special}</span>}
      {t.state === "have ready" && !t.unresolved && <span class="thing-mark">{words.ready}</span>}
      {t.unresolved && <span class="thing-mark"><Icon name="stop" />{words.unresolved}</span>}
      {t.ticked && <span class="thing-mark"><Icon name="tick" />{words.ticked}</span>}
    </>
  );
}

interface ShownAsProps {
  drawing: boolean;
  onDrawing: (drawing: boolean) => void;
  mirrored: boolean;
  onMirrored: (mirrored: boolean) => void;
  /** The hand the card was written for, where it says so. */
  hand: HandWord | undefined;
  big?: boolean;
}

/** List or drawing, the list first; and both of them mirrored. */
export function ShownAs({ drawing, onDrawing, mirrored, onMirrored, hand, big = false }: ShownAsProps) {
  const tick = { icon: "tick" as const };
  const other = hand && otherHand(hand);
  return (
    <>
      <div class="row trolley-tools" role="group" aria-label={words.shown}>
        <Button big={big} pressed={!drawing} {...(!drawing && tick)} onClick={() => onDrawing(false)}>{words.list}</Button>
        <Button big={big} pressed={drawing} {...(drawing && tick)} onClick={() => onDrawing(true)}>{words.drawing}</Button>
        {(drawing || mirrored) && <Button big={big} kind="quiet" pressed={mirrored} {...(mirrored && tick)} onClick={() => onMirrored(!mirrored)}>{words.mirror(other)}</Button>}
      </div>
      {mirrored && <Note>{words.mirrored(other)}</Note>}
    </>
  );
}
