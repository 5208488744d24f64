// What the service worker does with a request and with its caches. Pure.

/** A file of this build: its path and the hash its content must have. */
export interface Cached {
  path: string;
  integrity: string; // as in subresource integrity: "sha256-…"
}

export type Decision =
  | { from: "network" } // not ours to answer
  | { from: "cache"; path: string }; // the cache first, the network if it is not there

export interface Asked {
  method: string;
  mode: string;
  url: string;
}

/** Where a request is answered from. The API is never touched: an answer of yesterday must not look like one of now. */
export function decide(asked: Asked, origin: string, files: ReadonlySet<string>): Decision {
  const url = new URL(asked.url);
  if (asked.method !== "GET" || url.origin !== origin || url.pathname.startsWith("/api/")) return { from: "network" };
  // Every screen is the same page; only a file of the build (the licences, say) is itself.
  if (asked.mode === "navigate" && !files.has(url.pathname)) return { from: "cache", path: "/" };
  return { from: "cache", path: url.pathname };
}

const prefix = "sideport-";

export function cacheName(build: string): string {
  return prefix + build;
}

/**
 * Which caches go when a build takes over: ours, except its own and the two
 * newest others. A page opened before may still be running one of them, and the
 * newest may be of a build that was fetched and never taken. names are in the
 * order in which the caches were made, as the browser gives them.
 */
export function expired(names: readonly string[], current: string): string[] {
  const others = names.filter((name) => name.startsWith(prefix) && name !== current);
  return others.slice(0, -2);
}
