/** Comes when the page has nothing better to do, and not later than in three seconds. */
export function calm(): Promise<void> {
  return new Promise((resolve) => {
    if ("requestIdleCallback" in globalThis) requestIdleCallback(() => resolve(), { timeout: 3_000 });
    else setTimeout(resolve, 500); // engines without idle callbacks
  });
}
