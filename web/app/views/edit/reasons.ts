import { me } from "../../state";
import { withReason } from "./reasonlist";

// The reasons that somebody gave last on this device, so that the usual ones take a tap.

const key = () => `sideport/reasons/${me.peek() ?? ""}`;

/** The own reasons, the last one first. */
export function usualReasons(): string[] {
  try {
    const list: unknown = JSON.parse(localStorage.getItem(key()) ?? "[]");
    return Array.isArray(list) ? list.filter((r) => typeof r === "string") : [];
  } catch {
    return []; // no storage, or not what this program wrote
  }
}

export function rememberReason(reason: string): void {
  if (reason === "") return;
  try {
    localStorage.setItem(key(), JSON.stringify(withReason(usualReasons(), reason)));
  } catch {
    // Typed again the next time.
  }
}
