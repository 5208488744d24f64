// The clock of a drill. Pure: now comes in.

export interface Clock {
  /** When it would have begun, had it never been stopped. */
  since: number;
  /** When it was stopped; null while it runs. */
  stopped: number | null;
  /** When the drill was last on the screen. */
  seen: number;
}

/** A drill nobody looked at for this long is over: the next look at it is another one. */
const overMillis = 10 * 60_000;

/** The clock as a drill is opened: it goes on where somebody comes back to it, and begins where it was not open. */
export function opened(clock: Clock | undefined, now: number): Clock {
  if (!clock || now - clock.seen > overMillis || now < clock.since) return { since: now, stopped: null, seen: now };
  return { ...clock, seen: now };
}

export function stop(clock: Clock, now: number): Clock {
  return { ...clock, stopped: clock.stopped ?? now, seen: now };
}

export function goOn(clock: Clock, now: number): Clock {
  return { since: clock.since + (clock.stopped === null ? 0 : now - clock.stopped), stopped: null, seen: now };
}

/** Minutes and seconds: "0:07", "12:40". */
export function reading(clock: Clock, now: number): string {
  const seconds = Math.max(0, Math.floor(((clock.stopped ?? now) - clock.since) / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}
