import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { Button, Caution, Icon, Tag, TextField, toast } from "../../parts";
import type { Problem } from "../../state";
import { textCase } from "../../text-case";
import { cautionsAt, errorAt, identityAt } from "./check";
import { newKey } from "./keys";

const words = textCase.edit;

interface ListProps<T> {
  list: readonly T[];
  onChange: (list: T[]) => void;
  /** A stable name of the element for problems and for keeping it open. */
  keyOf: (t: T, index: number) => string;
  title: (t: T) => string;
  summary: (t: T) => string;
  /** A new element; name and key are "" when elements have no name. */
  blank: (name: string, key: string) => T;
  addLabel: string;
  /** Label of the name that a new element needs; left out when elements have none. */
  nameLabel?: string;
  /** Where problems of the list are reported: "items" or "variants/small-pupil/items". */
  path: string;
  problems: readonly Problem[];
  /** What a closed element shows below its head, for example values to tap. Opening it is up to the list. */
  below?: (t: T, open: () => void) => ComponentChildren;
  /** The element that is open at the start. */
  opened?: string | undefined;
  children: (t: T, set: (t: T) => void, path: string) => ComponentChildren;
}

/** A list whose elements open one at a time: change, put in order, remove with undo, add. */
export function ListEditor<T>(p: ListProps<T>) {
  const [open, setOpen] = useState<string | null>(p.opened ?? null);
  const put = (i: number, t: T) => p.onChange(p.list.map((x, n) => (n === i ? t : x)));
  const move = (i: number, by: 1 | -1) => {
    const next = [...p.list];
    const [t] = next.splice(i, 1);
    next.splice(i + by, 0, t as T);
    p.onChange(next);
  };
  const remove = (i: number) => {
    const before = [...p.list];
    p.onChange(before.filter((_, n) => n !== i));
    setOpen(null);
    toast(words.removed(p.title(before[i] as T)), { undo: () => p.onChange(before) });
  };
  const add = (name: string) => {
    const key = newKey(name, p.list.map(p.keyOf));
    const t = p.blank(name, key);
    p.onChange([...p.list, t]);
    setOpen(p.keyOf(t, p.list.length));
  };
  return (
    <div class="listedit">
      <ol role="list">
        {p.list.map((t, i) => {
          const key = p.keyOf(t, i);
          const path = `${p.path}/${key}`;
          return (
            <li key={key} class="listedit-one">
              <button type="button" class="listedit-head" aria-expanded={open === key} onClick={() => setOpen(open === key ? null : key)}>
                <span class="listedit-words"><strong>{p.title(t)}</strong>{p.summary(t) && <span class="quiet">{p.summary(t)}</span>}</span>
                <Marks problems={p.problems} path={path} />
                <Icon name={open === key ? "up" : "down"} />
              </button>
              {open !== key && p.below?.(t, () => setOpen(key))}
              {open === key && (
                <div class="listedit-inside">
                  {p.children(t, (next) => put(i, next), path)}
                  {identityAt(p.problems, path).map((c) => <Caution key={c.path + c.text}>{c.text}</Caution>)}
                  <div class="row listedit-tools">
                    <Button icon="up" label={words.up(p.title(t))} disabled={i === 0} onClick={() => move(i, -1)} />
                    <Button icon="down" label={words.down(p.title(t))} disabled={i === p.list.length - 1} onClick={() => move(i, 1)} />
                    <Button kind="danger" onClick={() => remove(i)}>{words.remove}</Button>
                    <Button onClick={() => setOpen(null)}>{words.done}</Button>
                  </div>
                </div>
              )}
            </li>
          );
        })}
      </ol>
      <Add label={p.addLabel} nameLabel={p.nameLabel} onAdd={add} />
    </div>
  );
}

export function Marks({ problems, path }: { problems: readonly Problem[]; path: string }) {
  if (errorAt(problems, path)) return <Tag kind="stop">{words.toMend(problems.filter((q) => q.level === "error" && (q.path === path || q.path.startsWith(`${path}/`))).length)}</Tag>;
  const n = cautionsAt(problems, path).length;
  return n > 0 ? <Tag kind="caution">{words.cautions(n)}</Tag> : null;
}

function Add({ label, nameLabel, onAdd }: { label: string; nameLabel: string | undefined; onAdd: (name: string) => void }) {
  const [name, setName] = useState("");
  const [tried, setTried] = useState(false);
  if (nameLabel === undefined) return <Button icon="plus" onClick={() => onAdd("")}>{label}</Button>;
  const add = () => {
    if (name.trim() === "") return setTried(true);
    onAdd(name.trim());
    setName("");
    setTried(false);
  };
  return (
    <form class="listedit-add" onSubmit={(e) => { e.preventDefault(); add(); }}>
      <TextField label={nameLabel} value={name} onChange={setName} maxLength={120} problem={tried && name.trim() === "" ? words.nameNeeded : null} />
      <Button submit icon="plus">{label}</Button>
    </form>
  );
}
