// Hints between the tabs of this device. A hint only says what to read again
// from storage: it may be lost, and nothing depends on its arrival.

export type Hint = "docs" | "edits" | "sheets" | "device";

const channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("sideport") : null;

export function hint(what: Hint): void {
  channel?.postMessage(what);
}

export function onHint(act: (what: Hint) => void): void {
  channel?.addEventListener("message", (event: MessageEvent<Hint>) => act(event.data));
}
