// Whether the server can be reached. The browser's own "online" only says
// that some network exists; a nonce that comes back says that it was the server
// and not a sign-in page that answers everything.

import { newId } from "../local/ids";
import { pageBuild } from "./build";
import type { Health } from "./protocol";

const limit = 3_000;

export async function reach(): Promise<Health | null> {
  const nonce = newId();
  try {
    const response = await fetch(`/api/v1/health?nonce=${nonce}`, { cache: "no-store", headers: pageBuild(), signal: AbortSignal.timeout(limit) });
    if (!response.ok) return null;
    return proven(await response.json(), nonce);
  } catch {
    return null; // no network, no answer in time, or not JSON
  }
}

/** The health if it is the server's answer to this nonce, else null. */
export function proven(answer: unknown, nonce: string): Health | null {
  const health = answer as Partial<Health> | null;
  return health?.ok === true && health.nonce === nonce ? (health as Health) : null;
}
