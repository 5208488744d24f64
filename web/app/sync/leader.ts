// Which tab holds the one live connection. A browser gives one server six
// connections at most, so a connection for every tab would starve them. Only a
// visible tab leads, because a hidden one may be frozen with the lock in its
// hand. Nothing depends on the lock being right.

const patience = 20_000;

/** Runs work while no other tab runs work of this name; after some patience it runs anyway, for the other tab may be frozen. */
export async function exclusively<T>(name: string, work: () => Promise<T>): Promise<T> {
  if (!navigator.locks) return work();
  try {
    return await navigator.locks.request(name, { signal: AbortSignal.timeout(patience) }, work);
  } catch (error) {
    if (error instanceof DOMException && error.name === "TimeoutError") return work();
    throw error;
  }
}

/** Tries to become the leader. Resolves with a way to resign, or with null when another tab leads. */
export function lead(): Promise<(() => void) | null> {
  if (!navigator.locks) return Promise.resolve(() => {});
  return new Promise((answer) => {
    const held = navigator.locks.request("sideport-leader", { ifAvailable: true }, (lock) => {
      if (!lock) return answer(null);
      return new Promise<void>((resign) => answer(resign));
    });
    held.catch(() => answer(null)); // a page on its way out gets no locks
  });
}
