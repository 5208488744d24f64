import { NotKept, type Problem } from "../../state";

/** What a failed step says to people, one problem a line. */
export function problemsOf(e: unknown): Problem[] {
  if (e instanceof NotKept && e.problems.length > 0) return e.problems;
  return [{ level: "error", code: "failed", path: "", text: e instanceof Error ? e.message : String(e) }];
}
