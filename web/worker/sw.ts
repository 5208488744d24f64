// The service worker: keeps one build of the program on the device, whole and
// checked by hash, and answers from it. BUILD, SHELL and REST are put in by
// web/build; the build's name is the hash of everything cached, so nobody has
// to remember to change it.
//
// The shell (page, scripts, styles, font, icons) is fetched at install; the
// WebAssembly core, far larger, follows when a page asks with "COMPLETE". So a
// slow network never keeps the shell from working offline, and a page offers
// a new version only when the answer says that all of it is here.

import { cacheName, decide, expired, type Cached } from "./strategy";

declare const self: ServiceWorkerGlobalScope;
declare const BUILD: string;
declare const SHELL: Cached[];
declare const REST: Cached[];

const own = cacheName(BUILD);
const files = new Set([...SHELL, ...REST].map((f) => f.path));

// No skipWaiting here: a new version waits until the person takes it.
self.addEventListener("install", (event) => {
  event.waitUntil(fetchMissing(SHELL));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(expired(names, own).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const { method, mode, url } = event.request;
  const decision = decide({ method, mode, url }, self.location.origin, files);
  if (decision.from === "cache") event.respondWith(answer(event.request, decision.path));
});

self.addEventListener("message", (event) => {
  if (event.data === "SKIP_WAITING") event.waitUntil(self.skipWaiting());
  if (event.data === "COMPLETE") {
    event.waitUntil(
      fetchMissing(REST).then(
        () => event.ports[0]?.postMessage(true),
        () => event.ports[0]?.postMessage(false), // offline: the page asks again later
      ),
    );
  }
});

/** Puts the files into this build's cache unless they are there. All or an error. */
async function fetchMissing(files: Cached[]): Promise<void> {
  const cache = await caches.open(own);
  await Promise.all(
    files.map(async ({ path, integrity }) => {
      if (await cache.match(path)) return;
      // The hash guards against a network that answers everything and against a server updated halfway.
      const response = await fetch(path, { integrity, cache: path.startsWith("/assets/") ? "default" : "no-cache" });
      if (!response.ok) throw new Error(`${path}: ${response.status}`);
      await cache.put(path, response);
    }),
  );
}

/** Own build first; then the older one, for a page that was opened before; then the network. */
async function answer(request: Request, path: string): Promise<Response> {
  const cache = await caches.open(own);
  return (await cache.match(path)) ?? (await caches.match(path)) ?? fetch(request);
}
