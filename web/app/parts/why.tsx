import type { ComponentChildren } from "preact";
import { text } from "../text";
import { Icon } from "./icon";
import "./why.css";

/** Where a line comes from, one touch away and never louder than the line. */
export function Why({ label = text.why, children }: { label?: string; children: ComponentChildren }) {
  return (
    <details class="why">
      <summary><span class="why-label">{label}<Icon name="down" /></span></summary>
      <div class="why-inside">{children}</div>
    </details>
  );
}
