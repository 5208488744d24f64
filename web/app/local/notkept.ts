import type { Problem } from "../generated/types";

/** Why an edit was not kept. The message is a sentence for people; problems lists every single thing to mend. */
export class NotKept extends Error {
  readonly problems: Problem[];

  constructor(text: string, problems: Problem[] = []) {
    super(text);
    this.name = "NotKept";
    this.problems = problems;
  }
}
