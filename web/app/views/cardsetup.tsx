import { useState } from "preact/hooks";
import { mirrorPlace } from "../drawing/layout";
import { ShownAs, TrolleyDrawing } from "../drawing/trolley";
import type { Card, Item, State, View } from "../generated/types";
import { choices } from "../generated/vocabulary";
import { Caution, Note, Tag } from "../parts";
import type { Doc } from "../state";
import { text } from "../text";
import { Questions, questionsAt } from "./question";

/** What to lay out: first what is opened, then what waits in the room, each by its place. */
export function CardSetup({ of }: { of: Doc<Card> }) {
  const [drawing, setDrawing] = useState(false);
  const [mirrored, setMirrored] = useState(false);
  const open = questionsAt(of, "items");
  const asked = new Set(open.map((q) => q.unit));
  const items = (of.body.items ?? []).filter((i) => !asked.has(`items/${i.key}`));
  if (items.length === 0 && open.length === 0) return <p class="quiet">{text.noItems}</p>;
  return (
    <>
      <Questions of={of} list={open} />
      <ShownAs drawing={drawing} onDrawing={setDrawing} mirrored={mirrored} onMirrored={setMirrored} hand={handOf(of)} />
      {drawing
        ? <TrolleyDrawing things={items} mirrored={mirrored} />
        : (
          <>
            <ItemGroup title={text.openHead} items={ofState(items, "open")} mirrored={mirrored} />
            <ItemGroup title={text.readyHead} items={ofState(items, "have ready")} mirrored={mirrored} />
          </>
        )}
    </>
  );
}

/** The hand the places were written for; unknown while somebody must still decide about the surgeon's basics. */
function handOf(of: Doc<Card>) {
  return questionsAt(of, "basics").length > 0 ? undefined : of.body.basics.handedness;
}

function ofState(items: readonly Item[], state: State): Item[] {
  return items.filter((i) => i.state === state);
}

function ItemGroup({ title, items, mirrored }: { title: string; items: readonly Item[]; mirrored: boolean }) {
  if (items.length === 0) return null;
  return (
    <div class="items">
      <h3>{title}</h3>
      {byPlace(items, mirrored).map(([place, list]) => (
        <div key={place} class="items-place">
          <h4>{place || text.noPlace}</h4>
          <ul role="list">{list.map((i) => <ItemLine key={i.key} item={i} />)}</ul>
        </div>
      ))}
    </div>
  );
}

function byPlace(items: readonly Item[], mirrored: boolean): [string, Item[]][] {
  const places: string[] = [...choices.place, ""];
  const groups = places.map((p): [string, Item[]] => [p, items.filter((i) => ((mirrored ? mirrorPlace(i.place) : i.place) ?? "") === p)]);
  return groups.filter(([, list]) => list.length > 0);
}

export function ItemLine({ item }: { item: Item }) {
  const allergens = item.allergens ?? [];
  return (
    <li class="item">
      <span class="item-times">{text.times(item.quantity)}</span>
      <span>
        <span class="item-name">{item.name}</span>
        {item.counted && <> <Tag>{text.counted}</Tag></>}
        {item.note && <span class="item-more">{item.note}</span>}
        {allergens.length > 0 && <span class="item-more">{text.contains(allergens.join(", "))}</span>}
      </span>
    </li>
  );
}

/** The drugs on the table, as the surgeon stored them. */
export function Drugs({ of, view }: { of: Doc<Card>; view: View }) {
  const open = questionsAt(of, "drugs");
  const asked = new Set(open.map((q) => q.unit));
  const cautions = (view.cautions ?? []).filter((c) => c.path.startsWith("drugs/"));
  return (
    <>
      <Note>{text.drugsNote}</Note>
      <Questions of={of} list={open} />
      {cautions.map((c) => <Caution key={c.text}>{c.text}</Caution>)}
      <ul role="list" class="drugs">
        {(view.drugs ?? []).filter((d) => !asked.has(`drugs/${d.key}`)).map((d) => (
          <li key={d.key} class="drug">
            <span class="item-name">{d.name}</span>
            <span class="drug-text">{d.text}</span>
            <span class="quiet">{[d.state, d.prepared, d.note].filter(Boolean).join(" · ")}</span>
          </li>
        ))}
      </ul>
    </>
  );
}
