// Whether a person's role allows a change. The table is the server's, written
// for the page by web/build; the server decides. Pure.

import type { PersonRole } from "../generated/types";
import { may, type Action } from "../generated/may";

/** What keeping a document is in the table. owner: whose it is, or whose it becomes; undefined: everybody's. */
export function actionOf(kind: string, person: string, owner: string | undefined): Action {
  if (kind !== "card") return kind as Action;
  return owner === person ? "own card" : "propose";
}

/** The roles that may do it. */
export function rolesFor(action: Action): PersonRole[] {
  return (Object.keys(may) as PersonRole[]).filter((r) => may[r].includes(action));
}

export function allowed(roles: readonly PersonRole[], action: Action): boolean {
  return roles.some((r) => may[r]?.includes(action));
}
