import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";

/** Whether lines are shown to be read across the room. It holds until it is switched off or the page closes. */
export const wallWanted = signal(false);

/** Takes everything but the line off the screen while one is read in the wall view. */
export function useWall(live: boolean): void {
  const on = live && wallWanted.value;
  useEffect(() => {
    if (!on) return;
    document.documentElement.dataset.wall = "";
    return () => { delete document.documentElement.dataset.wall; };
  }, [on]);
}
