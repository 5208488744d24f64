// What is laid out, in parts by its place. No screen.

import { mirrorPlace } from "../../drawing/layout";
import type { Place } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { evenly } from "./matrix";

/** A place with more things than this stands in parts, each with the name of the place above it. */
const most = 6;

export interface PlacePart<T> {
  place: string;
  /** Not the first part of its place. */
  continued: boolean;
  things: T[];
}

/** Everything by its place in the order of the vocabulary; what has none comes last under "". */
export function byPlace<T extends { place?: Place | undefined }>(things: readonly T[], mirrored = false): PlacePart<T>[] {
  const seen = (t: T) => (mirrored ? mirrorPlace(t.place) : t.place) ?? "";
  return [...choices.place, ""].flatMap((place) =>
    evenly(things.filter((t) => seen(t) === place), most).map((part, i) => ({ place, continued: i > 0, things: part })),
  );
}
