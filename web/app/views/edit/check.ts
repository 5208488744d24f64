import { useEffect, useState } from "preact/hooks";
import { check, status, type DocKind, type Problem, type View } from "../../state";

export interface Checked {
  problems: Problem[];
  view: View | undefined;
}

const settleMillis = 250;

/** What the core finds about a body that is being written, a moment after the last keystroke. Empty until the core is there. */
export function useCheck(kind: DocKind, body: unknown): Checked {
  const [checked, setChecked] = useState<Checked>({ problems: [], view: undefined });
  const text = JSON.stringify(body);
  useEffect(() => {
    let gone = false;
    const timer = setTimeout(() => {
      check(kind, JSON.parse(text))
        .then((c) => { if (!gone) setChecked({ problems: c.problems, view: c.view }); })
        .catch(() => undefined); // why the core is not there is said by the shell; keeping says it again
    }, settleMillis);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [kind, text, status.value.core === "ready"]);
  return checked;
}

/** The first error at a path or below it. */
export function errorAt(problems: readonly Problem[], path: string): string | null {
  return problems.find((p) => p.level === "error" && isAt(p.path, path))?.text ?? null;
}

/** The cautions at a path or below it. */
export function cautionsAt(problems: readonly Problem[], path: string): Problem[] {
  return problems.filter((p) => p.level === "caution" && isAt(p.path, path));
}

/** What at a path or below it looks as if it said who a patient is. */
export function identityAt(problems: readonly Problem[], path: string): Problem[] {
  return cautionsAt(problems, path).filter((p) => p.code === "identity");
}

export function isAt(path: string, place: string): boolean {
  return path === place || path.startsWith(place + "/");
}
