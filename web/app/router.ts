// Where the person is: plain paths with the History API. Every path is
// answered with the same index page by the service worker and by the server,
// so a reload or a link works offline as well.

import { signal, type ReadonlySignal } from "@preact/signals";

export interface Route {
  path: string; // without a trailing slash: "/cards/anna-flip"
  parts: string[]; // decoded: ["cards", "anna-flip"]
  query: URLSearchParams;
}

function read(): Route {
  const path = location.pathname.replace(/\/+$/, "") || "/";
  const parts = path.split("/").filter(Boolean).map(decode);
  return { path, parts, query: new URLSearchParams(location.search) };
}

// A hand-typed address may hold a broken escape; it is then shown as it came.
function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

const current = signal(read());

export const route: ReadonlySignal<Route> = current;

/** Opens a path of this program, for example "/cards/anna-flip/edit". */
export function go(path: string): void {
  if (path === location.pathname + location.search) return;
  history.pushState({ inside: true }, "", path);
  again = false;
  arrived();
  scrollTo(0, 0);
}

/** Goes back inside the program; from a page opened directly it goes to today's list instead of leaving. */
export function back(): void {
  if (history.state?.inside) history.back();
  else go("/");
}

function arrived(): void {
  current.value = read();
}

const loadedAs = performance.getEntriesByType("navigation")[0] as PerformanceNavigationTiming | undefined;
let again = loadedAs?.type === "reload" || loadedAs?.type === "back_forward";

/** This place was left before, so that the browser goes back to where it was scrolled to. */
export const cameAgain = (): boolean => again;

addEventListener("popstate", () => {
  again = true;
  arrived();
});

// Plain links inside the program become route changes; modified clicks, other
// targets and the API stay with the browser.
document.addEventListener("click", (event) => {
  if (event.defaultPrevented || event.button !== 0) return;
  if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
  const link = (event.target as Element | null)?.closest?.("a[href]");
  if (!(link instanceof HTMLAnchorElement) || link.target || link.hasAttribute("download")) return;
  if (link.origin !== location.origin || link.pathname.startsWith("/api/") || link.hash) return;
  event.preventDefault();
  go(link.pathname + link.search);
});
