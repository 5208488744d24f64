import type { Card } from "../generated/types";
import type { OpenQuestion } from "../state";
import { stable } from "./newer";
import { inOrder } from "./order";

// A question carries both sides as the core cut them out. Deciding puts one side back where it came from; what a card
// may hold is judged by the core when the edit is kept.

type Loose = Record<string, any>;

/** The card with one side of a question in its place, or null when that needs the editor. The card itself is not changed. */
export function withSide(card: Card, q: OpenQuestion, side: "head" | "mine"): Card | null {
  const body = structuredClone(card) as Card & Loose;
  if (side === "head") return body; // while a question is open the body holds this side
  const [list = "", ...rest] = q.unit.split("/");
  const key = rest.join("/");
  if (list === "notes") return putNotes(body, q);
  if (list === "basics" || list === "machine") return putGroup(body, list, q);
  if (list === "technique") return putTechnique(body, q);
  if (!key) return { ...body, [list]: q.mine ?? undefined };
  return key === "order" ? putOrder(body, list, q.mine) : putElement(body, list, q);
}

function putTechnique(body: Card & Loose, q: OpenQuestion): Card {
  const [technique, name] = q.mine as [Card["technique"], string];
  const { technique_name: _old, ...rest } = body;
  return { ...rest, technique, ...(name ? { technique_name: name } : {}) } as Card;
}

/** Fields that are decided together: what either side names is replaced as a whole. */
function putGroup(body: Card & Loose, group: "basics" | "machine", q: OpenQuestion): Card {
  const fields: Loose = { ...body[group] };
  for (const side of [q.base, q.head, q.mine]) {
    for (const name of Object.keys((side as Loose) ?? {})) delete fields[name];
  }
  return { ...body, [group]: { ...fields, ...(q.mine as Loose) } };
}

function putElement(body: Card & Loose, list: string, q: OpenQuestion): Card | null {
  const elements: unknown[] = body[list] ?? [];
  const at = elements.findIndex((e) => stable(e) === stable(q.head));
  if (q.head !== null && at < 0) return null;
  if (q.head === null) return { ...body, [list]: [...elements, q.mine] };
  const instead = q.mine === null ? [] : [q.mine];
  return { ...body, [list]: [...elements.slice(0, at), ...instead, ...elements.slice(at + 1)] };
}

/** What both sides hold takes the order asked for; everything else stays where it is. */
function putOrder(body: Card & Loose, list: string, order: unknown): Card | null {
  const elements: { key?: string }[] = body[list] ?? [];
  if (!Array.isArray(order) || elements.some((e) => !e.key)) return null;
  return { ...body, [list]: inOrder(elements, order as string[], (e) => e.key ?? "") };
}

function putNotes(body: Card & Loose, q: OpenQuestion): Card | null {
  const head = String(q.head ?? "");
  const parts = body.notes?.split(head) ?? [];
  if (head === "" || parts.length !== 2) return null;
  const notes = parts.join(String(q.mine ?? "")).replace(/\n{3,}/g, "\n\n").trim();
  return { ...body, notes };
}
