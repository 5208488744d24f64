// The service worker from the page's side. A new version is fetched in the
// background, waits until it is wholly on the device, and is then offered; it
// never takes over by itself, because a case may be running.

import { update } from "./signals";
import { trustedScriptURL } from "./trusted";

let registration: ServiceWorkerRegistration | null = null;
let taking = false;
let checkedAt = -Infinity;

const checkEvery = 30_000;

/** Registers the service worker. Without one the program works while the server is there. */
export async function registerWorker(): Promise<void> {
  const workers = navigator.serviceWorker;
  if (!workers) return;
  const controlled = workers.controller !== null;
  workers.addEventListener("controllerchange", () => {
    if (taking) location.reload();
    // Another tab took the new version: this one goes on as it is and offers it. The first worker of all is no news.
    else if (controlled) update.value = true;
  });
  registration = await workers.register(trustedScriptURL("/sw.js"), { updateViaCache: "none" });
  registration.addEventListener("updatefound", () => follow(registration?.installing ?? null));
  follow(registration.installing);
  if (registration.waiting) void offer(registration.waiting);
  if (registration.active) void complete(registration.active);
  for (const event of ["pageshow", "focus"]) addEventListener(event, () => lookForNew());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && lookForNew());
}

function follow(worker: ServiceWorker | null): void {
  worker?.addEventListener("statechange", () => {
    if (worker.state === "installed" && registration?.active) void offer(worker);
    if (worker.state === "activated") void complete(worker);
  });
}

async function offer(worker: ServiceWorker): Promise<void> {
  if (await complete(worker)) update.value = true;
}

/** Has the worker fetch what its shell does not need at once (the core). True when everything is on the device. */
function complete(worker: ServiceWorker): Promise<boolean> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = (event) => resolve(event.data === true);
    worker.postMessage("COMPLETE", [port2]);
  });
}

/** Some browsers hardly ever look for a new version of an installed program, so the page does. */
function lookForNew(): void {
  if (!registration || performance.now() - checkedAt < checkEvery) return;
  checkedAt = performance.now();
  registration.update().catch(() => {}); // offline: later
  if (registration.waiting) void offer(registration.waiting);
  else if (registration.active) void complete(registration.active);
}

/** Looks for a new version when the server says that it serves another build than this page. */
export function checkForUpdate(serverBuild: string): void {
  const own = document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content;
  if (own && serverBuild !== own) lookForNew();
}

/** Takes the new version: the page loads again. What was kept stays kept. */
export async function takeUpdate(): Promise<void> {
  const waiting = registration?.waiting;
  if (!waiting) return location.reload(); // another tab took it already
  taking = true;
  waiting.postMessage("SKIP_WAITING");
}
