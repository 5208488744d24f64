// The page's side of the core: starts the worker when first needed or when
// the page is idle, gives every call a time limit, replaces a worker that
// stopped, and turns everything that went wrong into an error.

import type { Problem } from "../generated/types";
import { core as state } from "../signals";
import { textDevice } from "../text-device";
import { trustedScriptURL } from "../trusted";
import type { Answer, Call, FromWorker } from "./protocol";

/** Why a call of the core gave no result. The message is for people. */
export class CoreError extends Error {
  readonly problems: Problem[];

  constructor(text: string, problems: Problem[] = []) {
    super(text);
    this.name = "CoreError";
    this.problems = problems;
  }
}

interface Open {
  resolve(output: Uint8Array): void;
  reject(error: CoreError): void;
  timer: ReturnType<typeof setTimeout>;
}

const startLimit = 30_000; // a slow tablet needs seconds for the first start
const callLimit = 10_000;

class Core {
  #worker: Worker | null = null;
  #ready: Promise<void> | null = null;
  #failStart: (error: CoreError) => void = () => {};
  #open = new Map<number, Open>();
  #next = 1;

  /** Starts the worker; later calls give the same promise until the worker has to be replaced. */
  start(): Promise<void> {
    this.#ready ??= this.#begin();
    return this.#ready;
  }

  /** Calls the core by name. JSON in, JSON out. */
  async call<T>(name: string, input: unknown): Promise<T> {
    await this.start();
    const output = await this.#send(name, new TextEncoder().encode(JSON.stringify(input)));
    const answer = JSON.parse(new TextDecoder().decode(output)) as Answer<T>;
    if ("error" in answer) throw new CoreError(answer.error.text, answer.error.problems ?? []);
    return answer.ok;
  }

  #begin(): Promise<void> {
    state.value = "starting";
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => this.#stop(textDevice.coreMissing), startLimit);
      this.#failStart = (error) => {
        clearTimeout(timer);
        reject(error);
      };
      const worker = new Worker(trustedScriptURL(CORE_WORKER_URL), { name: "core" });
      this.#worker = worker;
      worker.addEventListener("error", () => this.#stop(textDevice.coreMissing));
      worker.addEventListener("message", (event: MessageEvent<FromWorker>) => {
        if (worker !== this.#worker) return; // a worker that was replaced
        if ("ready" in event.data) {
          clearTimeout(timer);
          state.value = "ready";
          resolve();
        } else this.#receive(event.data);
      });
    });
  }

  #send(name: string, input: Uint8Array): Promise<Uint8Array> {
    const n = this.#next++;
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => this.#stop(textDevice.coreSlow), callLimit);
      this.#open.set(n, { resolve, reject, timer });
      this.#worker!.postMessage({ n, name, input } satisfies Call, [input.buffer]);
    });
  }

  #receive(message: Exclude<FromWorker, { ready: true }>): void {
    if ("stopped" in message) {
      console.error("the core stopped:", message.stopped);
      return this.#stop(state.peek() === "starting" ? textDevice.coreMissing : textDevice.coreBroke);
    }
    const open = this.#open.get(message.n);
    if (!open) return;
    this.#open.delete(message.n);
    clearTimeout(open.timer);
    open.resolve(message.output);
  }

  // Everything the worker held is an error; the next call starts another one.
  #stop(text: string): void {
    const wasReady = state.peek() === "ready";
    this.#worker?.terminate();
    this.#worker = null;
    this.#ready = null;
    state.value = wasReady ? "not started" : "failed";
    this.#failStart(new CoreError(text));
    for (const open of this.#open.values()) {
      clearTimeout(open.timer);
      open.reject(new CoreError(text));
    }
    this.#open.clear();
    if (wasReady) this.start().catch(() => {});
  }
}

export const core = new Core();
