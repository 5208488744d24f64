// Listens for "there is something after N", in the leading tab while it is
// visible. The stream is read with fetch and not with EventSource, because
// EventSource hides the server's heartbeat lines: a connection that died in
// the device's sleep would never be noticed.

import { effect } from "@preact/signals";
import { enrolled, forked, known, revoked } from "../signals";
import { pageBuild } from "./build";
import { eventReader } from "./events";
import { lead } from "./leader";

const watchdog = 40_000; // the server says something every 15 s
const retry = 5_000;

export interface Heard {
  epoch: string;
  seq: number;
}

/** Starts listening; heard is called once for every event. */
export function listen(heard: (h: Heard) => void): void {
  let stop: (() => void) | null = null;
  let starting = false;

  async function begin(): Promise<void> {
    if (stop || starting || hidden() || !mayRead()) return;
    starting = true;
    const resign = await lead();
    starting = false;
    if (!resign) return;
    if (hidden()) return resign();
    const abort = new AbortController();
    stop = () => {
      stop = null;
      abort.abort();
      resign();
    };
    await follow(abort, heard);
    stop?.(); // the stream ended by itself: let any visible tab try
    setTimeout(begin, retry);
  }

  document.addEventListener("visibilitychange", () => {
    if (hidden()) stop?.();
    else void begin();
  });
  addEventListener("pagehide", () => stop?.());
  addEventListener("pageshow", () => void begin());
  addEventListener("online", () => void begin());
  // Also where another tab led when this one asked: that one may be gone.
  setInterval(begin, watchdog);
  effect(() => {
    if (mayRead()) void begin();
    else stop?.();
  });
}

// To a device that was not let in the server says nothing.
function mayRead(): boolean {
  return enrolled.value !== null && known.value && !revoked.value && !forked.value;
}

function hidden(): boolean {
  return document.visibilityState !== "visible";
}

/** Follows the stream until it ends, is stopped, or falls silent. */
async function follow(abort: AbortController, heard: (h: Heard) => void): Promise<void> {
  let timer = setTimeout(() => abort.abort(), watchdog);
  try {
    const response = await fetch("/api/v1/live", { cache: "no-store", signal: abort.signal, headers: { ...pageBuild(), Accept: "text/event-stream" } });
    if (!response.ok || !response.headers.get("Content-Type")?.startsWith("text/event-stream")) return;
    const stream = response.body!.pipeThrough(new TextDecoderStream()).getReader();
    const events = eventReader("seq");
    for (;;) {
      const { done, value } = await stream.read();
      if (done) return;
      clearTimeout(timer);
      timer = setTimeout(() => abort.abort(), watchdog);
      for (const data of events.take(value)) tell(data, heard);
    }
  } catch {
    // No network, stopped, or silent for too long: tried again later.
  } finally {
    clearTimeout(timer);
  }
}

function tell(data: string, heard: (h: Heard) => void): void {
  try {
    heard(JSON.parse(data) as Heard);
  } catch {
    // Not the server's: the next regular reading brings whatever there is.
  }
}
