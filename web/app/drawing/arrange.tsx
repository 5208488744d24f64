import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Item, Place } from "../generated/types";
import { announce, Button, Note, toast } from "../parts";
import { textDrawing } from "../text-drawing";
import { isOnTrolley, mirrorPlace, nextPlace, put, shift, type Direction, type HandWord } from "./layout";
import { classOf, ThingWords, TrolleyDrawing } from "./trolley";

const words = textDrawing.trolley;
const onto: Place = "front middle";
const keys: Record<string, Direction> = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" };
const directions = [["left", "back"], ["right", "forward"], ["up", "up"], ["down", "down"]] as const;

interface ArrangeProps {
  items: readonly Item[];
  onChange: (items: Item[]) => void;
  /** The hand the places were written for, and the hand of the card now. */
  was?: HandWord | undefined;
  hand?: HandWord | undefined;
}

/** Items put where they lie: by buttons, by the arrow keys, or dragged. */
export function Arrange({ items, onChange, was, hand }: ArrangeProps) {
  const [chosen, choose] = useState<string | null>(null);
  const [target, setTarget] = useState<Place | "" | null>(null);
  const box = useRef<HTMLDivElement>(null);
  const follow = useRef(false);
  const item = items.find((i) => i.key === chosen);

  // An item that moved to another place is another element: the keyboard stays with it.
  useLayoutEffect(() => {
    if (follow.current) box.current?.querySelector<HTMLElement>(`[data-thing="${CSS.escape(chosen ?? "")}"]`)?.focus();
    follow.current = false;
  });

  const change = (next: Item[] | null, of: Item, place?: Place | null) => {
    if (!next) return;
    follow.current = document.activeElement instanceof HTMLElement && document.activeElement.dataset["thing"] === of.key;
    onChange(next);
    announce(words.moved(of.name, (place === undefined ? of.place : place) ?? words.noPlace));
  };
  const move = (of: Item, direction: Direction) => {
    const to = of.place && nextPlace(of.place, direction);
    if (to) change(put(items, of.key, to), of, to);
  };
  const swap = () => {
    const before = [...items];
    onChange(items.map((i) => (i.place ? { ...i, place: mirrorPlace(i.place) } : i)));
    toast(words.swapped, { undo: () => onChange(before) });
  };
  const drop = (of: Item, at: Place | "" | null) => {
    setTarget(null);
    if (at === null || at === (of.place ?? "") || (at === "" && !isOnTrolley(of.place))) return;
    change(put(items, of.key, at || null), of, at || null);
  };

  return (
    <div class="arrange stack" ref={box}>
      <p>{words.arrangeLead}</p>
      {was && hand && was !== hand && <Note>{words.swapWhy(was, hand)}</Note>}
      <div><Button onClick={swap}>{words.swap}</Button></div>
      <TrolleyDrawing things={items} mirrored={false} target={target}>
        {(i) => (
          <div class="arrange-one">
            <button type="button" class={classOf(i)} data-thing={i.key} aria-pressed={i.key === chosen} onClick={() => choose(i.key === chosen ? null : i.key)}
              onKeyDown={(e) => { const d = keys[e.key]; if (d && i.key === chosen) { e.preventDefault(); move(i, d); } }}>
              <ThingWords thing={i} />
            </button>
            <Handle onOver={setTarget} onDrop={(at) => { choose(i.key); drop(i, at); }} />
          </div>
        )}
      </TrolleyDrawing>
      {item && <Tools item={item} items={items} onMove={(d) => move(item, d)} onItems={(next, place) => change(next, item, place)} />}
    </div>
  );
}

interface ToolsProps {
  item: Item;
  items: readonly Item[];
  onMove: (direction: Direction) => void;
  onItems: (items: Item[] | null, place?: Place | null) => void;
}

/** What can be done with the chosen item; it stays in reach however long the trolley is. */
function Tools({ item, items, onMove, onItems }: ToolsProps) {
  const { key, place } = item;
  const order = (by: -1 | 1, word: string) => <Button disabled={!shift(items, key, by)} onClick={() => onItems(shift(items, key, by))}>{word}</Button>;
  return (
    <div class="arrange-tools stack-close" role="group" aria-label={item.name}>
      <p><strong>{words.moved(item.name, place ?? words.noPlace)}</strong></p>
      <div class="row">
        {isOnTrolley(place) ? (
          <>
            {directions.map(([d, icon]) => <Button key={d} icon={icon} label={words[d]} disabled={!nextPlace(place, d)} onClick={() => onMove(d)} />)}
            {order(-1, words.earlier)}
            {order(1, words.later)}
            <Button onClick={() => onItems(put(items, key, null), null)}>{words.off}</Button>
          </>
        ) : <Button onClick={() => onItems(put(items, key, onto), onto)}>{words.on}</Button>}
      </div>
    </div>
  );
}

interface HandleProps {
  onOver: (place: Place | "" | null) => void;
  onDrop: (place: Place | "" | null) => void;
}

/** Where a finger or the mouse takes hold. The keyboard has the arrow keys and the buttons, so this is for the pointer alone. */
function Handle({ onOver, onDrop }: HandleProps) {
  const held = useRef(false);
  const under = (e: PointerEvent) => {
    const at = document.elementFromPoint(e.clientX, e.clientY)?.closest<HTMLElement>("[data-place]")?.dataset["place"];
    return at === undefined ? null : (at as Place | "");
  };
  return (
    <span class="arrange-handle" aria-hidden="true"
      onPointerDown={(e) => { e.preventDefault(); held.current = true; e.currentTarget.setPointerCapture(e.pointerId); }}
      onPointerMove={(e) => { if (held.current) onOver(under(e)); }}
      onPointerUp={(e) => { if (held.current) onDrop(under(e)); held.current = false; }}
      onPointerCancel={() => { held.current = false; onDrop(null); }}>
      <svg viewBox="0 0 12 20"><path d="M2 2h3v3H2zM7 2h3v3H7zM2 8h3v3H2zM7 8h3v3H7zM2 14h3v3H2zM7 14h3v3H7z" /></svg>
    </span>
  );
}
