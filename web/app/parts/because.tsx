import type { Why, Weight } from "../generated/types";
import { textCase } from "../text-case";
import "./because.css";
import { Icon } from "./icon";
import { unbroken } from "./unbroken";

/**
 * What a line came from: card, variant or house rule. With `whole` also the source and how well it is confirmed.
 * Spans, so that it may stand inside a button.
 */
export function Because({ why, whole }: { why: readonly Why[]; whole?: boolean }) {
  return (
    <span class="because">
      {why.map((w) => <span class="because-line" key={w.from + w.id + w.text}>{unbroken(whole ? whyText(w) : w.text)}</span>)}
    </span>
  );
}

function whyText(w: Why): string {
  const marks = [w.source, w.mark && textCase.marks[w.mark], w.starter && textCase.starterRule].filter(Boolean).join("; ");
  return marks ? `${w.text} (${marks})` : w.text;
}

/** A caution or a stop, told apart by shape and word before colour. */
export function WeightSign({ weight, word }: { weight: Weight; word?: string }) {
  return (
    <span class={`sign sign-${weight}`}>
      <Icon name={weight} large />
      <strong>{word ?? (weight === "stop" ? textCase.stop : textCase.caution)}</strong>
    </span>
  );
}
