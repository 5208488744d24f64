import type { Place } from "../generated/types";
import { choices } from "../generated/vocabulary";

// Where things lie on the trolley: two rows of three places, as a person standing before it sees them, the front edge
// nearest. The words of the card are what is laid out; a mirror changes word and drawing together, never one of them.

const onTrolley = choices.place.slice(0, choices.place.indexOf("machine"));
const rows = ["back", "front"] as const;
const columns = ["left", "middle", "right"] as const;

export type Direction = "left" | "right" | "up" | "down";

/** The places in the order they are seen: back row first, from left to right. */
export const places: readonly Place[] = rows.flatMap((r) => columns.map((c) => `${r} ${c}` as Place));

export function isOnTrolley(place: string | undefined): place is Place {
  return onTrolley.includes(place as Place);
}

/** Left for right and right for left; places that are not on the trolley stay. */
export function mirrorPlace<P extends string | undefined>(place: P): P {
  if (!isOnTrolley(place)) return place;
  return place.replace(/left|right/, (side) => (side === "left" ? "right" : "left")) as P;
}

export interface Cell<T> {
  place: Place;
  row: number;
  column: number;
  items: T[];
}

export interface Layout<T> {
  cells: Cell<T>[];
  /** What does not lie on the trolley, by its place; "" where none is stated. */
  rest: [place: string, items: T[]][];
}

/** Every item once: in its cell in the order of the list, or below. */
export function layout<T extends { place?: Place | undefined }>(items: readonly T[], mirrored = false): Layout<T> {
  const seen = (i: T) => (mirrored ? mirrorPlace(i.place) : i.place) ?? "";
  const off = [...choices.place.filter((p) => !isOnTrolley(p)), ""];
  return {
    cells: places.map((place, n) => ({ place, row: Math.floor(n / columns.length), column: n % columns.length, items: items.filter((i) => seen(i) === place) })),
    rest: off.map((place): [string, T[]] => [place, items.filter((i) => seen(i) === place)]).filter(([, list]) => list.length > 0),
  };
}

/** The place next to this one; null at an edge. */
export function nextPlace(place: Place, direction: Direction): Place | null {
  const at = places.indexOf(place);
  if (at < 0) return null;
  const row = Math.floor(at / columns.length) + (direction === "down" ? 1 : direction === "up" ? -1 : 0);
  const column = (at % columns.length) + (direction === "right" ? 1 : direction === "left" ? -1 : 0);
  const [r, c] = [rows[row], columns[column]];
  return r && c ? (`${r} ${c}` as Place) : null;
}

type Keyed = { key: string; place?: Place | undefined };

/** The list with one item at another place; null takes the place away. */
export function put<T extends Keyed>(items: readonly T[], key: string, place: Place | null): T[] {
  return items.map((i) => {
    if (i.key !== key) return i;
    const { place: _, ...rest } = i;
    return (place ? { ...rest, place } : rest) as T;
  });
}

/** The list with one item before or after its neighbour in the same place; null where there is none. */
export function shift<T extends Keyed>(items: readonly T[], key: string, by: -1 | 1): T[] | null {
  const from = items.findIndex((i) => i.key === key);
  const neighbours = items.map((i, n) => (i.place === items[from]?.place ? n : -1)).filter((n) => n >= 0);
  const to = neighbours[neighbours.indexOf(from) + by];
  if (from < 0 || to === undefined) return null;
  const next = [...items];
  [next[from], next[to]] = [items[to] as T, items[from] as T];
  return next;
}

/** Whether every item that is in both lists lies where it lay. */
export function unmoved(before: readonly Keyed[], now: readonly Keyed[]): boolean {
  const places = new Map(before.map((i) => [i.key, i.place]));
  return now.every((i) => !places.has(i.key) || places.get(i.key) === i.place);
}

export type HandWord = "right-handed" | "left-handed";

export const otherHand = (hand: HandWord): HandWord => (hand === "left-handed" ? "right-handed" : "left-handed");
