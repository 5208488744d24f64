import type { ComponentChildren } from "preact";
import { text } from "../text";
import { Icon } from "./icon";
import { isMeant } from "./press";
import "./tick.css";
import { toast } from "./toast";

interface TickProps {
  /** What is ticked, as plain text: spoken, and named when a tick is taken away. */
  name: string;
  on: boolean;
  onChange: (on: boolean) => void;
  /** The tick of the screen: 104 px instead of 78 px. */
  primary?: boolean;
  /** Shown instead of the name, with whatever belongs to it. */
  children?: ComponentChildren;
}

/** A whole row that is ticked by touching it anywhere. Taking a tick away offers to undo that. */
export function Tick({ name, on, onChange, primary, children }: TickProps) {
  const press = (event: MouseEvent) => {
    if (!isMeant(event)) return;
    onChange(!on);
    if (on) toast(text.unticked(name), { undo: () => onChange(true) });
  };
  return (
    <button type="button" role="checkbox" aria-checked={on} class={primary ? "tick tick-primary" : "tick"} onClick={press}>
      <span class="tick-box" aria-hidden="true">{on && <Icon name="tick" />}</span>
      <span class="tick-words">{children ?? name}</span>
    </button>
  );
}
