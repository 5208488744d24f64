import { useEffect, useRef, useState } from "preact/hooks";
import type { Pause } from "../generated/types";
import { lastAnswered, type Answers } from "./pause";

/** An interruption: this long without a touch, or the page out of sight for however short. */
const idleMillis = 60_000;

/** How long ago the last answer was given, when that is longer than anybody needs for a line. */
export function useSince(pause: Pause, answers: Answers): number | null {
  const last = lastAnswered(pause, answers);
  const gone = last === null ? 0 : Date.now() - last;
  return gone > idleMillis ? gone : null;
}

/** Watches for a minute without a touch or a key, and for the page being hidden. away is how long in milliseconds. */
export function useInterruption(watching: boolean): { away: number | null; over: () => void } {
  const [away, setAway] = useState<number | null>(null);
  const touched = useRef(Date.now());
  useEffect(() => {
    if (!watching) return;
    let hidden: number | null = null;
    const look = () => {
      const gone = Date.now() - touched.current;
      if (gone > idleMillis) setAway(gone);
      return gone > idleMillis;
    };
    const touch = () => {
      if (!look()) touched.current = Date.now();
    };
    const seen = () => {
      if (document.visibilityState === "hidden") hidden ??= Date.now();
      else if (hidden !== null) setAway(Date.now() - hidden);
    };
    touched.current = Date.now();
    const timer = setInterval(look, 5000);
    addEventListener("pointerdown", touch, true);
    addEventListener("keydown", touch, true);
    document.addEventListener("visibilitychange", seen);
    return () => {
      clearInterval(timer);
      removeEventListener("pointerdown", touch, true);
      removeEventListener("keydown", touch, true);
      document.removeEventListener("visibilitychange", seen);
    };
  }, [watching, away]);
  return { away, over: () => { touched.current = Date.now(); setAway(null); } };
}
