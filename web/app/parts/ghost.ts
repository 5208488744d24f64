// Which presses are nobody's: a wet or gloved touch screen reports one touch twice, and a row that moves up under a
// finger gets a press that was meant for another. Pure; the page's side is in press.ts.

/** Two presses on one spot within this time are one touch. */
export const ghostMillis = 400;

/** One spot: half of a 78 px target and a little more. */
const spotPixels = 48;

export interface Spot {
  at: number;
  x: number;
  y: number;
}

/** Whether a press is the echo of the last one that counted, wherever the rows have moved since. */
export function isEcho(last: Spot | null, press: Spot): boolean {
  if (!last) return false;
  const soon = press.at - last.at < ghostMillis;
  return soon && Math.hypot(press.x - last.x, press.y - last.y) < spotPixels;
}

/**
 * Whether a press began somewhere else: the finger came down on `began`, and the press ended on `row`, which came to
 * lie under it meanwhile. Without a finger (keyboard, reader of the screen) nothing began anywhere.
 */
export function beganElsewhere(began: { at: number; on: unknown } | null, row: unknown, at: number, fingered: boolean): boolean {
  if (!fingered || !began || at - began.at > longestPress) return false;
  return began.on !== row;
}

/** A finger rests no longer than this; what came down before belongs to another press. */
const longestPress = 5_000;
