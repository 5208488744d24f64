// Where a pause stood when somebody left it for a drill, so that the way back
// leads to the very line. It lasts as long as the page: after a reload the
// pause counts as interrupted.

import { signal } from "@preact/signals";

export interface Standing {
  caseId: string;
  pause: string;
  line: number;
  /** A drill was opened since: only then does the pause go on by itself. */
  drill: boolean;
}

export const standing = signal<Standing | null>(null);

/** Notes where the pause is left. */
export function leaveAt(caseId: string, pause: string, line: number): void {
  standing.value = { caseId, pause, line, drill: false };
}

/** Whoever looks at the triggers after that is expected back. */
export function drillOpened(): void {
  if (standing.peek() && !standing.peek()!.drill) standing.value = { ...standing.peek()!, drill: true };
}

/** The line to go on at when the pause is opened again; null where it was interrupted by anything else. It is told once. */
export function backFromDrill(caseId: string, pause: string): number | null {
  const s = standing.peek();
  standing.value = null;
  return s && s.drill && s.caseId === caseId && s.pause === pause ? s.line : null;
}
