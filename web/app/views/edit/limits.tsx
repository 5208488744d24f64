import type { Card, Limits, Phase, PhaseKind } from "../../generated/types";
import { useEffect } from "preact/hooks";
import { choices, parameters } from "../../generated/vocabulary";
import { TextField } from "../../parts";
import { route } from "../../router";
import { textCase } from "../../text-case";
import { cautionsAt, errorAt } from "./check";
import { kindNamed } from "./kindnamed";
import { LongText, Pick, Select, withField } from "./fields";
import { ListEditor } from "./list";
import { QuantityField } from "./quantity";
import type { PartProps } from "./parts";

const words = textCase.edit;

/** The limits that are numbers, in the order a machine screen is read out. */
const limitNumbers = ["power", "pulse_rate", "duty_cycle", "burst_length", "vacuum", "flow", "bottle", "pressure", "cut_rate"] as const;

/** The phases in order, each with its starting limits. */
export function LimitsPart({ card, base, set, problems }: PartProps) {
  const { phase } = useAsked();
  return (
    <>
      <p class="quiet">{words.limitsLead}</p>
      <ListEditor<Phase> list={card.phases ?? []} onChange={(phases) => set({ phases })} keyOf={(p) => p.key} title={(p) => p.name} summary={() => ""} below={(p, open) => <Values of={p} onTap={(id) => { open(); bring(p.key, id); }} />}
        blank={(name, key) => ({ key, name, limits: {}, ...kindNamed(name) })} addLabel={words.phaseAdd} nameLabel={words.phaseName}
        path="phases" problems={problems} opened={phase}>
        {(p, put, path) => (
          <>
            <div data-phase={p.key}><LimitFields limits={p.limits} was={base?.phases?.find((x) => x.key === p.key)?.limits} kind={p.kind} card={card} path={path} problems={problems}
              onChange={(limits) => put({ ...p, limits })} /></div>
            <PhaseCautions problems={problems} path={path} />
            <LongText label={words.phaseNote} value={p.note ?? ""} onChange={(v) => put(withField(p, "note", v))} problem={errorAt(problems, `${path}/note`)} />
            <TextField label={words.phaseName} value={p.name} onChange={(name) => put({ ...p, name })} problem={errorAt(problems, `${path}/name`)} />
            <Select label={words.phaseKind} value={p.kind ?? ""} none={words.phaseOwn} options={choices["phase kind"].map((k) => ({ value: k, label: k }))}
              onChange={(k) => put(withField(p, "kind", (k || undefined) as PhaseKind | undefined))} />
          </>
        )}
      </ListEditor>
    </>
  );
}

/** What is unusual about the limits of a phase together. */
export function PhaseCautions({ problems, path }: { problems: PartProps["problems"]; path: string }) {
  return <>{cautionsAt(problems, path).filter((c) => c.path === path).map((c) => <p key={c.text}>{c.text}</p>)}</>;
}

type LimitID = (typeof limitNumbers)[number];

/** The values of a closed phase. A tap on one opens the phase with that number under the keys. */
function Values({ of: p, onTap }: { of: Phase; onTap: (id: LimitID) => void }) {
  const stated = limitNumbers.filter((id) => p.limits[id] !== undefined);
  if (stated.length === 0) return <p class="limitvalues quiet">{words.notStated}</p>;
  return (
    <div class="limitvalues">
      {stated.map((id) => {
        const of = parameters.find((x) => x.id === id);
        return (
          <button key={id} type="button" class="limitvalue" onClick={() => onTap(id)}>
            <span>{of?.label}</span>
            <strong>{p.limits[id]}{of?.unit && <span class="quiet">{`\u00a0${of.unit}`}</span>}</strong>
          </button>
        );
      })}
    </div>
  );
}

/** Puts the cursor into one number of a phase that is open or about to be, with the old number selected: typing replaces it. */
function bring(phase: string, limit: string): void {
  requestAnimationFrame(() => {
    const inside = `[data-phase="${CSS.escape(phase)}"]`;
    const input = document.querySelector<HTMLInputElement>(`${inside} [data-limit="${CSS.escape(limit)}"] input`);
    const to = input ?? document.querySelector(inside);
    to?.scrollIntoView({ block: "center" });
    input?.focus({ preventScroll: true });
    input?.select();
  });
}

/** The phase, and the number in it, that a link to the editor asks for. */
function useAsked(): { phase: string | undefined } {
  const query = route.peek().query;
  const phase = query.get("phase") ?? undefined;
  useEffect(() => { if (phase) bring(phase, query.get("limit") ?? ""); }, []);
  return { phase };
}

interface LimitFieldsProps {
  limits: Limits;
  was: Limits | undefined;
  kind: PhaseKind | undefined;
  card: Card;
  path: string;
  problems: PartProps["problems"];
  onChange: (limits: Limits) => void;
}

/** The limits of one phase: the numbers first, because they are what is changed. */
export function LimitFields({ limits, was, kind, card, path, problems, onChange }: LimitFieldsProps) {
  const put = <K extends keyof Limits>(field: K, value: Limits[K] | undefined) => onChange(withField(limits, field, value));
  return (
    <>
      <div class="limitfields">
        {limitNumbers.filter((id) => limits[id] !== undefined || isUsed(id, limits, kind, card)).map((id) => (
          <QuantityField key={id} id={id} value={limits[id]} was={was?.[id]} kind={kind} path={`${path}/${id}`} problems={problems} onChange={(v) => put(id, v)} />
        ))}
      </div>
      <Pick label={words.ultrasound} options={choices.ultrasound} value={limits.ultrasound} onChange={(v) => put("ultrasound", v)} problem={errorAt(problems, `${path}/ultrasound`)} />
      {limits.ultrasound !== "off" && <>
        <Pick label={words.mode} options={choices.mode} value={limits.mode} onChange={(v) => put("mode", v)} problem={errorAt(problems, `${path}/mode`)} />
        <Pick label={words.powerControl} options={choices.control} value={limits.power_control} onChange={(v) => put("power_control", v)} problem={errorAt(problems, `${path}/power_control`)} />
      </>}
      <Pick label={words.vacuumControl} options={choices.control} value={limits.vacuum_control} onChange={(v) => put("vacuum_control", v)} problem={errorAt(problems, `${path}/vacuum_control`)} />
    </>
  );
}

/** Which numbers are asked for, so that the form is no longer than the phase needs. What is stated is always shown. */
function isUsed(id: (typeof limitNumbers)[number], limits: Limits, kind: PhaseKind | undefined, card: Card): boolean {
  switch (id) {
    case "power":
      return limits.ultrasound !== "off";
    case "pulse_rate":
    case "duty_cycle":
      return limits.ultrasound !== "off" && limits.mode === "pulse";
    case "burst_length":
      return limits.ultrasound !== "off" && limits.mode === "burst";
    case "flow":
      return card.machine.pump !== "venturi"; // it makes flow from vacuum; there is none to set
    case "bottle":
      return card.machine.irrigation !== "pressure";
    case "pressure":
      return card.machine.irrigation !== "bottle height";
    case "cut_rate":
      return kind === "anterior vitrectomy";
  }
  return true;
}
