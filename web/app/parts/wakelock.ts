import { signal, type ReadonlySignal } from "@preact/signals";

/** Whether the screen is kept on: asked for by a tap, refused by the device, or missing in this browser. */
export type Wake = "off" | "on" | "refused" | "missing";

const state = signal<Wake>("off");
export const wake: ReadonlySignal<Wake> = state;

let wanted = false;
let lock: WakeLockSentinel | null = null;

/** Must be called from a tap: browsers refuse it otherwise. */
export async function stayAwake(): Promise<void> {
  wanted = true;
  await request();
}

export function letSleep(): void {
  wanted = false;
  void lock?.release();
  lock = null;
  state.value = "off";
}

async function request(): Promise<void> {
  if (!("wakeLock" in navigator)) {
    state.value = "missing";
    return;
  }
  try {
    const got = await navigator.wakeLock.request("screen");
    if (!wanted) {
      void got.release();
      return;
    }
    lock = got;
    state.value = "on";
  } catch {
    state.value = wanted ? "refused" : "off"; // low battery or a policy: nothing to mend from here, so it is said
  }
}

// The lock is lost whenever the page is hidden.
document.addEventListener("visibilitychange", () => {
  if (wanted && document.visibilityState === "visible") void request();
});
