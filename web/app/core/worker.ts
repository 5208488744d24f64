// Runs the Go core in a worker of its own, so that neither its start nor a
// long merge ever holds up the page.

/// <reference lib="webworker" />
import "wasm_exec";
import type { Call, FromWorker } from "./protocol";

declare const CORE_WASM_URL: string;
declare const Go: new () => { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
declare const self: DedicatedWorkerGlobalScope & { sideportCall?: (name: string, input: Uint8Array) => Uint8Array };

function post(message: FromWorker): void {
  self.postMessage(message);
}

async function start(): Promise<void> {
  const go = new Go();
  const { instance } = await load(go.importObject);
  // The promise ends only when the program ends, which it must not.
  go.run(instance).then(
    () => post({ stopped: "the core ended" }),
    (error) => post({ stopped: String(error) }),
  );
  self.addEventListener("message", (event: MessageEvent<Call>) => answer(event.data));
  post({ ready: true });
}

async function load(imports: WebAssembly.Imports): Promise<WebAssembly.WebAssemblyInstantiatedSource> {
  const response = await fetch(CORE_WASM_URL);
  if (!response.ok) throw new Error(`the core was not served (${response.status})`);
  return WebAssembly.instantiateStreaming(response, imports);
}

function answer(call: Call): void {
  try {
    post({ n: call.n, output: self.sideportCall!(call.name, call.input) });
  } catch (error) {
    post({ stopped: String(error) });
  }
}

start().catch((error) => post({ stopped: String(error) }));
