import type { Question } from "../generated/types";

/** What a question is about where its two sides are people: who owns the card, who operates. */
const people = ["owner", "surgeon"];

/** The question as people read it: persons are stored as ids and known by their names. */
export function withNames<Q extends Question>(q: Q, nameOf: (id: string) => string): Q {
  if (!people.includes(q.unit)) return q;
  return { ...q, base_text: nameOf(q.base_text), head_text: nameOf(q.head_text), mine_text: nameOf(q.mine_text) };
}
