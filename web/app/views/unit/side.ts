import type { PauseScript, RuleBook } from "../../generated/types";
import type { OpenQuestion } from "../../state";
import { inOrder } from "../order";

// A question carries both sides as the core cut them out. Taking a side puts it back where it came from; whether the book
// may hold it is judged by the core when the change is kept.

type Loose = Record<string, any>;

/** The book with one side of a question in its place. */
export function bookWith(book: RuleBook, q: OpenQuestion, side: "head" | "mine"): RuleBook {
  const value = side === "head" ? q.head : q.mine;
  const [field = "", key = "", inner = ""] = q.unit.split("/");
  if (key === "") return { ...book, [field]: value } as RuleBook;
  if (field === "parts") return { ...book, parts: { ...book.parts, ...partOf(book, key, inner, value) } };
  if (field === "pauses" && inner) {
    return { ...book, pauses: book.pauses.map((p) => (p.id === key ? { ...p, lines: put(p.lines, inner, value) as PauseScript["lines"] } : p)) };
  }
  if (field === "pauses" && value && (value as PauseScript).lines === null) {
    return { ...book, pauses: book.pauses.map((p) => (p.id === key ? { ...(value as PauseScript), lines: p.lines } : p)) };
  }
  const list = (book as unknown as Loose)[field];
  return list === undefined && value === null ? book : ({ ...book, [field]: put(list ?? [], key, value) } as RuleBook);
}

function partOf(book: RuleBook, key: string, inner: string, value: unknown): Loose {
  return key === "recipes" ? { recipes: put(book.parts?.recipes ?? [], inner, value) } : { [key]: value };
}

function put(list: readonly Loose[], key: string, value: unknown): Loose[] {
  if (key === "order") return inOrder(list, Array.isArray(value) ? value : [], nameOf);
  const at = list.findIndex((x) => nameOf(x) === key);
  if (at < 0) return value === null ? [...list] : [...list, value as Loose];
  return [...list.slice(0, at), ...(value === null ? [] : [value as Loose]), ...list.slice(at + 1)];
}

function nameOf(x: Loose): string {
  return x.id ?? x.key ?? x.recipe ?? "";
}

