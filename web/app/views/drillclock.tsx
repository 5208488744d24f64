import { signal, type Signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { Button } from "../parts";
import { textAloud } from "../text-aloud";
import { goOn, opened, reading, stop, type Clock } from "./clock";

const words = textAloud.ifs;

/** The clocks of this page, by drill; a page that is loaded again finds them in the session. */
const clocks = new Map<string, Signal<Clock>>(stored().map(([key, clock]) => [key, signal(clock)]));

function stored(): [string, Clock][] {
  try {
    return JSON.parse(sessionStorage.getItem("clocks") ?? "[]");
  } catch {
    return []; // refused, or nothing of ours: the clock begins at nought
  }
}

function put(key: string, clock: Clock): void {
  const known = clocks.get(key);
  if (known) known.value = clock;
  else clocks.set(key, signal(clock));
  try {
    sessionStorage.setItem("clocks", JSON.stringify([...clocks].map(([k, c]) => [k, c.peek()])));
  } catch {
    // Only a page that is loaded again would miss it.
  }
}

/** Opens the drill's clock: it runs from that moment. */
export function openClock(key: string): void {
  put(key, opened(clocks.get(key)?.peek(), Date.now()));
}

/** When the drill was opened and what its clock says, for a note. */
export function clockOf(key: string): { begun: string; reads: string } {
  const now = Date.now();
  const clock = clocks.get(key)?.peek() ?? opened(undefined, now);
  return { begun: new Date(clock.since).toISOString(), reads: reading(clock, now) };
}

/** What the clock says. Nothing depends on it: it is called out, or looked at afterwards. */
export function DrillTime({ of }: { of: string }) {
  const [now, setNow] = useState(() => Date.now());
  const clock = clocks.get(of)?.value;
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), 500);
    const leave = () => {
      const last = clocks.get(of)?.peek();
      if (last) put(of, { ...last, seen: Date.now() });
    };
    document.addEventListener("visibilitychange", leave); // also before the page is loaded again
    return () => {
      clearInterval(timer);
      document.removeEventListener("visibilitychange", leave);
      leave();
    };
  }, [of]);
  if (!clock) return null;
  return <p class="drill-clock"><span role="timer" class="drill-time">{reading(clock, Math.max(now, clock.seen))}</span> <span class="quiet">{words.clock}</span></p>;
}

export function DrillClockButtons({ of }: { of: string }) {
  const clock = clocks.get(of)?.value;
  if (!clock) return null;
  return (
    <>
      {clock.stopped === null
        ? <Button big onClick={() => put(of, stop(clock, Date.now()))}>{words.stopClock}</Button>
        : <Button big onClick={() => put(of, goOn(clock, Date.now()))}>{words.goOnClock}</Button>}
      <Button big icon="undo" onClick={() => put(of, opened(undefined, Date.now()))}>{words.resetClock}</Button>
    </>
  );
}
