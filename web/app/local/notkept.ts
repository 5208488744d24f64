import type { Problem } from "../generated/types";

/** Whether the storage refused because it has no room. */
export function isFull(error: unknown): boolean {
  return error instanceof DOMException && error.name === "QuotaExceededError";
}

/** Does the work with ever less of what may be kept beside it, at last with nothing, until the storage has room for it. */
export async function makingRoom<T>(most: number, work: (most: number) => Promise<T>): Promise<T> {
  for (;; most >>= 1) {
    try {
      return await work(most);
    } catch (error) {
      if (most === 0 || !isFull(error)) throw error;
    }
  }
}

/** Why an edit was not kept. The message is a sentence for people; problems lists every single thing to mend. */
export class NotKept extends Error {
  readonly problems: Problem[];

  constructor(text: string, problems: Problem[] = []) {
    super(text);
    this.name = "NotKept";
    this.problems = problems;
  }
}
