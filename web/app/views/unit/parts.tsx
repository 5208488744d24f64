import { useState } from "preact/hooks";
import type { ConfirmedRecipe, Parts, RuleBook } from "../../generated/types";
import { Button, Caution, dayShort, Icon, Note, ProblemList, Tag, TextField, today } from "../../parts";
import { me } from "../../state";
import { textUnit } from "../../text-unit";
import { nameOf } from "../people";
import type { FaceProps } from "./book";
import { useCalculations, useRiskTables, type Recipe } from "./tables";
import { WorkingView } from "./working";

const words = textUnit.parts;

/** What the unit has turned on. */
export function PartsFace({ book, set, problems }: FaceProps) {
  const put = (parts: Parts) => set({ parts });
  const wrong = problems.filter((p) => p.level === "error" && p.path.startsWith("parts"));
  return (
    <>
      <p class="quiet">{words.lead}</p>
      <ProblemList problems={wrong} />
      <RiskPart book={book} put={put} />
      <Recipes book={book} put={put} />
    </>
  );
}

interface PartProps {
  book: RuleBook;
  put: (p: Parts) => void;
}

/** Turning on needs a person, a day, and that the purpose was read. */
function RiskPart({ book, put }: PartProps) {
  const tables = useRiskTables();
  const [read, setRead] = useState(false);
  const risk = book.parts?.risk;
  const { risk: _, ...rest } = book.parts ?? {};
  const turnOn = () => put({ ...rest, risk: { on: true, by: me.value ?? "", date: today(), purpose_read: true } });
  return (
    <section class="panel stack" aria-labelledby="risk-part">
      <h2 id="risk-part">{words.risk}</h2>
      {risk?.on ? <p><Tag kind="ok">{words.isOn(nameOf(risk.by ?? ""), risk.date ? dayShort(risk.date) : "")}</Tag></p> : <p><strong>{words.isOff}</strong></p>}
      <h3>{words.purpose}</h3>
      <p>{tables ? tables.purpose : textUnit.coreWait}</p>
      {risk?.on ? <div><Button onClick={() => { put(rest); setRead(false); }}>{words.turnOff}</Button></div>
        : me.value && tables && <>
          <Note>{words.whoseRisk(nameOf(me.value))} {words.afterKeep}</Note>
          <label class="choice-option">
            <input type="checkbox" checked={read} onChange={() => setRead(!read)} />
            <span class="choice-face"><span class="choice-mark" aria-hidden="true"><Icon name="tick" /></span><span>{words.read}</span></span>
          </label>
          <div><Button kind="primary" disabled={!read} onClick={turnOn}>{words.turnOn}</Button></div>
        </>}
    </section>
  );
}

function Recipes({ book, put }: PartProps) {
  const known = useCalculations(book.parts);
  const list = book.parts?.recipes ?? [];
  const change = (recipes: ConfirmedRecipe[]) => {
    const { recipes: _, ...rest } = book.parts ?? {};
    put(recipes.length > 0 ? { ...rest, recipes } : rest);
  };
  return (
    <section class="stack" aria-labelledby="recipes">
      <h2 id="recipes">{words.recipes}</h2>
      <p class="quiet">{words.recipesLead}</p>
      <Caution>{textUnit.reckon.caution}</Caution>
      {!known && <p role="status">{textUnit.coreWait}</p>}
      {known?.recipes.map((r) => (
        <RecipePart key={r.id} of={r} onConfirm={(by) => change([...list, { recipe: r.id, by, date: today() }])}
          onWithdraw={() => change(list.filter((c) => c.recipe !== r.id))} />
      ))}
    </section>
  );
}

interface RecipeProps {
  of: Recipe;
  onConfirm: (by: string) => void;
  onWithdraw: () => void;
}

function RecipePart({ of: r, onConfirm, onWithdraw }: RecipeProps) {
  const { confirmed } = r;
  const [by, setBy] = useState("");
  const [tried, setTried] = useState(false);
  const confirm = () => (by.trim() === "" ? setTried(true) : onConfirm(by.trim()));
  return (
    <details class="panel unit-recipe">
      <summary><strong>{r.title}</strong> {confirmed ? <Tag kind="ok">{words.confirmed(confirmed.by, dayShort(confirmed.date))}</Tag> : <Tag>{words.off}</Tag>}</summary>
      <div class="stack">
        <p>{r.mark}</p>
        {r.note && <Caution>{r.note}</Caution>}
        <WorkingView of={r.working} label={r.title} unconfirmed={!confirmed} />
        {confirmed ? <div><Button kind="danger" onClick={onWithdraw}>{words.withdraw}</Button></div>
          : <>
            <TextField label={words.pharmacist} value={by} onChange={setBy} maxLength={80} problem={tried && by.trim() === "" ? words.needName : null} />
            <div><Button onClick={confirm}>{words.confirm}</Button></div>
          </>}
      </div>
    </details>
  );
}
