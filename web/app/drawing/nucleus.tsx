import { h } from "preact";
import { useId, useState } from "preact/hooks";
import { Button, Note } from "../parts";
import { textDrawing } from "../text-drawing";
import { frameOf, type Eye, type Frame, type Stated } from "./eye";
import "./nucleus.css";
import { picture, type Picture } from "./pictures";
import { faceShapes, sectionShapes, type Shape } from "./shapes";
import { drawnSteps, isDrawn, type DrawnStep, type PlainStep } from "./stages";

const words = textDrawing.nucleus;
const eyes = ["right eye", "left eye"] as const;

interface NucleusProps {
  technique: string;
  steps: readonly PlainStep[];
  basics: Stated;
  /** The eye of the case; without it either can be chosen. */
  eye?: Eye | undefined;
  /** What else is to be known before it is looked at. */
  notes?: readonly string[];
  /** Theatre size, and folded until somebody asks: the limits come first. On paper it is open. */
  big?: boolean;
}

/** The technique in pictures, one step at a time; on paper all of them. */
export function Nucleus({ technique, steps, basics, eye, notes = [], big = false }: NucleusProps) {
  const [chosen, setChosen] = useState<Eye>("right eye");
  const [at, setAt] = useState(0);
  const [signs, setSigns] = useState(false);
  const [open, setOpen] = useState(!big);
  if (!isDrawn(technique)) return null;
  const drawn = drawnSteps(technique, steps);
  if (drawn.length === 0) return null;
  const now = Math.min(at, drawn.length - 1);
  const frame = frameOf(eye ?? chosen, basics);
  return (
    <section class="drawn panel" aria-label={words.title}>
      {big && <div class="drawn-tools"><Button kind="quiet" big expanded={open} icon={open ? "up" : "down"} onClick={() => setOpen(!open)}>{words.title}</Button></div>}
      <div class={open ? "stack" : "stack drawn-closed"}>
        {!big && <h3>{words.title}</h3>}
        <div class="drawn-tools row">
          <Button big={big} icon="back" label={words.previous} disabled={now === 0} onClick={() => setAt(now - 1)} />
          <Button big={big} icon="forward" label={words.next} disabled={now === drawn.length - 1} onClick={() => setAt(now + 1)} />
          {eye ? <strong>{words.eye} {eye}</strong> : eyes.map((e) => <Button key={e} big={big} pressed={e === chosen} {...(e === chosen && { icon: "tick" as const })} onClick={() => setChosen(e)}>{e.slice(0, -4)}<span class="drawn-eye"> eye</span></Button>)}
        </div>
        <div class="drawn-list" aria-live="polite">
          {drawn.map((step, i) => (
            <div key={i} class={i === now ? "drawn-step drawn-now" : "drawn-step"}>
              <Step step={step} picture={picture(technique, step.stage, frame)} frame={frame} eye={eye ?? chosen} count={words.pictureOf(i + 1, drawn.length)} />
            </div>
          ))}
        </div>
        {[...notes, ...frame.assumed.map((a) => words.assumed[a])].map((n) => <Note key={n}>{n}</Note>)}
        <p class="quiet">{words.lead}</p>
        <div class="drawn-tools"><Button kind="quiet" big={big} expanded={signs} icon={signs ? "up" : "down"} onClick={() => setSigns(!signs)}>{words.signs}</Button></div>
        <Key open={signs} />
      </div>
    </section>
  );
}

function Step({ step, picture: p, frame, eye, count }: { step: DrawnStep; picture: Picture; frame: Frame; eye: Eye; count: string }) {
  return (
    <>
      <h4>{step.title} <span class="quiet">· {eye} · {count}</span></h4>
      <p>{words.does[step.stage]}</p>
      <div class="drawn-pair">
        <figure>
          <Svg box="-168 -158 336 350" title={words.described(step.title, eye)} desc={words.does[step.stage]} shapes={faceShapes(p, frame)} />
          <figcaption>{words.face}</figcaption>
        </figure>
        {p.section && <figure>
          <Svg box="-145 -105 290 175" title={words.describedSection(step.title, words.section[p.section.plane])} desc={words.does[step.stage]} shapes={sectionShapes(p.section, frame)} />
          <figcaption>{words.section[p.section.plane]}</figcaption>
        </figure>}
      </div>
    </>
  );
}

function Svg({ box, title, desc, shapes }: { box: string; title: string; desc: string; shapes: readonly Shape[] }) {
  const id = useId();
  return (
    <svg viewBox={box} role="img" aria-labelledby={`${id}t`} aria-describedby={`${id}d`}>
      <title id={`${id}t`}>{title}</title>
      <desc id={`${id}d`}>{desc}</desc>
      <Drawn shapes={shapes} />
    </svg>
  );
}

function Drawn({ shapes }: { shapes: readonly Shape[] }) {
  return <>{shapes.map(([tag, attributes, text], i) => h(tag, { key: i, ...attributes }, text))}</>;
}

/** The signs beside what they mean: shape first, so that colour is not needed. */
const key: readonly (readonly [keyof typeof words.key, readonly Shape[]])[] = [
  ["tip", [["path", { class: "d-tip", d: "M-30 -6H10L28 0L10 6H-30Z" }]]],
  ["second", [["path", { class: "d-rod", d: "M-28 0H14" }], ["circle", { class: "d-second", cx: "20", cy: "0", r: "6" }]]],
  ["cannula", [["path", { class: "d-rod", d: "M-28 0H18" }], ["circle", { class: "d-cannula", cx: "20", cy: "0", r: "5" }]]],
  ["groove", [["path", { class: "d-groove", d: "M-28 -8H28V8H-28Z" }]]],
  ["crack", [["path", { class: "d-crack", d: "M-28 0H28" }]]],
  ["rhexis", [["path", { class: "d-rhexis", d: "M-28 0H28" }]]],
  ["move", [["path", { class: "d-move", d: "M-28 0H12" }], ["path", { class: "d-head", d: "M24 0L12 7V-7Z" }]]],
  ["into", [["circle", { class: "d-depth", cx: "0", cy: "0", r: "10" }], ["path", { class: "d-depth", d: "M-6 -6L6 6M6 -6L-6 6" }]]],
  ["out", [["circle", { class: "d-depth", cx: "0", cy: "0", r: "10" }], ["circle", { class: "d-dot", cx: "0", cy: "0", r: "4" }]]],
];

/** On paper it is always there. */
function Key({ open }: { open: boolean }) {
  return (
    <ul role="list" class={open ? "drawn-key" : "drawn-key drawn-closed"}>
      {key.map(([name, shapes]) => (
        <li key={name}><svg class="drawn-sign" viewBox="-34 -14 68 28" aria-hidden="true" focusable="false"><Drawn shapes={shapes} /></svg><span>{words.key[name]}</span></li>
      ))}
    </ul>
  );
}
