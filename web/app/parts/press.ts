import { beganElsewhere, isEcho, type Spot } from "./ghost";

/** Where the last finger came down, as the control it came down on. */
let began: { at: number; on: unknown } | null = null;

/** The last press of a tick that counted, on whichever row. */
let last: Spot | null = null;

addEventListener("pointerdown", (e) => {
  began = { at: e.timeStamp, on: e.target instanceof Element ? e.target.closest("button") : null };
}, { capture: true, passive: true });

/** Whether a press on a row is somebody's. One that counts is remembered, so that its echo does not. */
export function isMeant(e: MouseEvent): boolean {
  const row = e.currentTarget as Element;
  const fingered = e.detail > 0; // a key or a reader of the screen presses with no finger
  const press: Spot = { at: e.timeStamp, ...(fingered ? { x: e.clientX, y: e.clientY } : middle(row)) };
  if (beganElsewhere(began, row, e.timeStamp, fingered) || isEcho(last, press)) return false;
  last = press;
  return true;
}

function middle(row: Element): { x: number; y: number } {
  const r = row.getBoundingClientRect();
  return { x: r.x + r.width / 2, y: r.y + r.height / 2 };
}
