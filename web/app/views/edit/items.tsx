import { Arrange } from "../../drawing/arrange";
import { unmoved } from "../../drawing/layout";
import type { Allergen, Item } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { Button, Icon, Stepper, TextField } from "../../parts";
import type { Problem } from "../../state";
import { textCase } from "../../text-case";
import { textDrawing } from "../../text-drawing";
import { errorAt } from "./check";
import { asOptions, LongText, Many, Pick, withField } from "./fields";
import { ListEditor } from "./list";
import type { PartProps } from "./parts";

const words = textCase.edit;

export function ItemsPart({ card, base, set, problems }: PartProps) {
  const items = card.items ?? [];
  const was = unmoved(base?.items ?? [], items) ? base?.basics.handedness : undefined; // once things were moved it has been thought of
  return (
    <>
      {items.length > 0 && (
        <details class="listedit-one">
          <summary class="listedit-head"><span class="listedit-words">{textDrawing.trolley.arrange}</span><Icon name="down" /></summary>
          <div class="listedit-inside"><Arrange items={items} onChange={(next) => set({ items: next })} was={was} hand={card.basics.handedness} /></div>
        </details>
      )}
      <ItemsEditor list={items} onChange={(next) => set({ items: next })} path="items" problems={problems} />
    </>
  );
}

interface ItemsEditorProps {
  list: readonly Item[];
  onChange: (list: Item[]) => void;
  path: string;
  problems: readonly Problem[];
}

/** Items of the card, or of one of its variants. */
export function ItemsEditor({ list, onChange, path, problems }: ItemsEditorProps) {
  return (
    <ListEditor<Item> list={list} onChange={onChange} keyOf={(i) => i.key} title={(i) => (i.quantity > 1 ? `${i.quantity} × ${i.name}` : i.name)}
      summary={(i) => [i.state, i.place].filter(Boolean).join(" · ")} blank={(name, key) => ({ key, name, kind: "instrument", quantity: 1, state: "have ready" })}
      addLabel={words.itemAdd} nameLabel={words.itemName} path={path} problems={problems}>
      {(i, put, at) => <ItemFields item={i} put={put} path={at} problems={problems} />}
    </ListEditor>
  );
}

interface ItemFieldsProps {
  item: Item;
  put: (i: Item) => void;
  path: string;
  problems: readonly Problem[];
}

/** Everything that is said of one item. */
export function ItemFields({ item: i, put, path, problems }: ItemFieldsProps) {
  return (
    <>
      <TextField free label={words.itemName} value={i.name} onChange={(name) => put({ ...i, name })} problem={errorAt(problems, `${path}/name`)} />
      <Pick needed label={words.state} options={choices.state} value={i.state} onChange={(v) => put({ ...i, state: v ?? i.state })} />
      <Stepper label={words.quantity} min="1" max="99" step="1" value={String(i.quantity)} onChange={(v) => put({ ...i, quantity: Math.trunc(Number(v)) })} problem={errorAt(problems, `${path}/quantity`)} />
      <Pick needed label={words.kind} options={choices["item kind"]} value={i.kind} onChange={(v) => put({ ...i, kind: v ?? i.kind })} />
      <Pick label={words.place} options={choices.place} value={i.place} onChange={(v) => put(withField(i, "place", v))} />
      <div><Button pressed={Boolean(i.counted)} {...(i.counted && { icon: "tick" as const })} onClick={() => put(withField(i, "counted", i.counted ? undefined : true))}>{words.counted}</Button></div>
      <LongText label={words.itemNote} value={i.note ?? ""} onChange={(v) => put(withField(i, "note", v))} problem={errorAt(problems, `${path}/note`)} />
      <Many label={words.allergens} options={asOptions(choices.allergen)} value={i.allergens} onChange={(v) => put(withField(i, "allergens", v as Allergen[] | undefined))} />
    </>
  );
}
