import { useEffect, useState } from "preact/hooks";
import type { Card, Question } from "../generated/types";
import { diff, merge, status, type Doc, type OpenQuestion, type ShownProposal } from "../state";
import { withSide } from "./decide";
import type { Side } from "./question";

/** The card as it is now with a proposal laid over it, by the same merge that the server uses. */
export interface Joined {
  body: Card;
  questions: Question[];
}

/** null until the core has answered. */
export function useJoined(of: Doc<Card>, p: ShownProposal): Joined | null {
  const [found, setFound] = useState<{ key: string; joined: Joined } | null>(null);
  const key = p.id + JSON.stringify(of.body);
  useEffect(() => {
    let here = true;
    merge<Card>("card", p.base as Card, of.body, p.body as Card).then(
      (joined) => { if (here) setFound({ key, joined }); },
      () => undefined, // the shell says when the core is not there
    );
    return () => { here = false; };
  }, [key, status.value.core === "ready"]);
  return found?.key === key ? found.joined : null;
}

/** Under what the chosen side of a question is held: a side that says something else now was not chosen. */
export function sideKey(q: Question): string {
  return JSON.stringify([q.unit, q.head, q.mine]);
}

/** The joined card with the chosen side of every question in its place; null when that needs the editor. */
export function resultOf(joined: Joined, sides: Record<string, Side>): Card | null {
  let body: Card | null = joined.body;
  for (const q of joined.questions) {
    if (body && sides[sideKey(q)] === "mine") body = withSide(body, q as OpenQuestion, "mine");
  }
  return body;
}

/** What changes from one card to another, in words; null until the core has said it. */
export function useWords(from: Card, to: Card | null): string[] | null {
  const [said, setSaid] = useState<string[] | null>(null);
  const text = JSON.stringify([from, to]);
  useEffect(() => {
    let here = true;
    setSaid(null);
    if (to) diff("card", from, to).then((c) => { if (here) setSaid(c); }, () => undefined); // the shell says when the core is not there
    return () => { here = false; };
  }, [text, status.value.core === "ready"]);
  return said;
}
