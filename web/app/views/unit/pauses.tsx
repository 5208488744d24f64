import { useEffect, useState } from "preact/hooks";
import { core } from "../../core/core";
import type { PauseScript, ScriptLine } from "../../generated/types";
import { Icon, Stop, Tag, TextField } from "../../parts";
import type { Problem } from "../../state";
import { textUnit } from "../../text-unit";
import { errorAt } from "../edit/check";
import { LongText, withField } from "../edit/fields";
import { ListEditor } from "../edit/list";
import { sentence } from "../names";
import { LineFields } from "./action";
import { emptyLine, type FaceProps } from "./book";

const words = textUnit.pauses;

interface Reading {
  words: number;
  seconds: number;
  long: boolean;
  most: number;
}

/** The fixed lines of each pause, with how long they take to read and answer. */
export function PausesFace({ book, set, problems }: FaceProps) {
  const [open, setOpen] = useState<string | null>(null);
  const reading = useReading(book.pauses);
  const put = (p: PauseScript) => set({ pauses: book.pauses.map((x) => (x.id === p.id ? p : x)) });
  return (
    <>
      <p class="quiet">{words.lead}</p>
      <div class="editparts">
        {book.pauses.map((p, i) => (
          <section key={p.id} class="editpart">
            <h2>
              <button type="button" class="editpart-head" aria-expanded={open === p.id} onClick={() => setOpen(open === p.id ? null : p.id)}>
                <span>{sentence(p.id)}</span>
                <Length lines={p.lines.length} reading={reading?.[i]} />
                {errorAt(problems, `pauses/${p.id}`) && <Tag kind="stop">{textUnit.rules.toMend(problems.filter((x) => x.level === "error" && x.path.startsWith(`pauses/${p.id}`)).length)}</Tag>}
                <Icon name={open === p.id ? "up" : "down"} />
              </button>
            </h2>
            {open === p.id && <div class="editpart-inside"><Script of={p} put={put} book={book} problems={problems} most={reading?.[i]?.most} /></div>}
          </section>
        ))}
      </div>
    </>
  );
}

function Length({ lines, reading }: { lines: number; reading: Reading | undefined }) {
  if (!reading) return null;
  return (
    <span class="editpart-said">
      {words.count(lines, reading.most)} · {words.time(reading.words, reading.seconds)}
      {reading.long && <> · <Icon name="caution" /> {words.long}</>}
    </span>
  );
}

interface ScriptProps {
  of: PauseScript;
  put: (p: PauseScript) => void;
  book: FaceProps["book"];
  problems: readonly Problem[];
  most: number | undefined;
}

function Script({ of: p, put, book, problems, most }: ScriptProps) {
  const at = `pauses/${p.id}`;
  return (
    <>
      {most !== undefined && p.lines.length > most && <Stop>{words.tooMany(most)}</Stop>}
      <LongText label={words.moment} value={p.when} onChange={(when) => put({ ...p, when })} problem={errorAt(problems, `${at}/when`)} />
      <ListEditor<ScriptLine> list={p.lines} onChange={(lines) => put({ ...p, lines })} keyOf={(l) => l.id} title={(l) => l.text}
        summary={(l) => `${l.ask} → ${l.answer}`} blank={(text, id) => ({ ...emptyLine, id, text, source: "" })} addLabel={words.add} nameLabel={words.line}
        path={`${at}/lines`} problems={problems}>
        {(l, change, path) => <>
          <LineFields line={l} put={(next) => change({ ...l, ...next, ...(next.expect === undefined && { expect: undefined }), ...(next.value === undefined && { value: undefined }) } as ScriptLine)} book={book} problems={problems} path={path} />
          <LongText label={words.source} value={l.source} onChange={(source) => change({ ...l, source })} problem={errorAt(problems, `${path}/source`)} />
          <Covers value={l.who ?? []} onChange={(who) => change(withField(l, "who", who.length > 0 ? who : undefined))} problem={errorAt(problems, `${path}/who`)} />
        </>}
      </ListEditor>
    </>
  );
}

/** The numbers of the checklist's items that the line covers. */
function Covers({ value, onChange, problem }: { value: readonly number[]; onChange: (v: number[]) => void; problem: string | null }) {
  const [typed, setTyped] = useState(value.join(", "));
  const type = (v: string) => {
    setTyped(v);
    onChange(v.split(/[^0-9]+/).filter(Boolean).map(Number));
  };
  return <TextField label={words.who} hint={words.whoHint} value={typed} onChange={type} problem={problem} />;
}

/** How long each pause takes. The core says it. */
function useReading(pauses: readonly PauseScript[]): Reading[] | null {
  const [reading, setReading] = useState<Reading[] | null>(null);
  const asked = JSON.stringify(pauses.map((p) => p.lines.map((l) => l.text)));
  useEffect(() => {
    let gone = false;
    core.call<{ pauses: Reading[] }>("reading", { pauses: JSON.parse(asked) }).then((r) => { if (!gone) setReading(r.pauses); }, () => undefined); // the shell says when the core is not there
    return () => { gone = true; };
  }, [asked]);
  return reading;
}
