import { identityIn, me } from "../../state";
import { withReason } from "./reasonlist";

// The reasons that somebody gave last on this device, so that the usual ones take a tap.

const key = () => `sideport/reasons/${me.peek() ?? ""}`;

/** The own reasons, the last one first. */
export function usualReasons(at = key()): string[] {
  try {
    const list: unknown = JSON.parse(localStorage.getItem(at) ?? "[]");
    return Array.isArray(list) ? list.filter((r) => typeof r === "string") : [];
  } catch {
    return []; // no storage, or not what this program wrote
  }
}

/** label: what a reason is called where it is looked at. One that may say who a patient is is not offered again. */
export async function rememberReason(label: string, reason: string): Promise<void> {
  if (reason === "") return;
  const at = key(); // whose it is now, whoever is here when it was looked at
  try {
    if ((await identityIn(label, reason)).length > 0) return;
    localStorage.setItem(at, JSON.stringify(withReason(usualReasons(at), reason)));
  } catch {
    // Typed again the next time.
  }
}
