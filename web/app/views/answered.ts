import { useEffect, useState } from "preact/hooks";
import type { Reply } from "../sync/request";
import { textDoor } from "../text-door";

export interface Trying {
  busy: boolean;
  /** Why the last try brought nothing, in words. */
  problem: string | null;
  /** Seconds during which the server takes no other try. */
  held: number;
  /** Asks, and gives the answer; null when there is none, for the reason in problem. */
  go: <T>(ask: () => Promise<Reply<T>>) => Promise<T | null>;
}

/** One question to the server at a time, with what became of it in words and the pause it asks for counted down. */
export function useTrying(): Trying {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [until, setUntil] = useState(0);
  const held = useSecondsTo(until);
  const hold = (seconds: number) => setUntil(performance.now() + seconds * 1000);
  const go = async <T>(ask: () => Promise<Reply<T>>): Promise<T | null> => {
    setBusy(true);
    setProblem(null);
    try {
      const reply = await ask();
      if (reply.kind === "answer") return reply.value;
      if (reply.kind === "wait") hold(reply.seconds);
      if (reply.kind === "refused" && reply.refusal.wait) hold(reply.refusal.wait);
      setProblem(wordsOf(reply));
      return null;
    } finally {
      setBusy(false);
    }
  };
  return { busy, problem, held, go };
}

/** Why there is no answer, in words for people. */
export function wordsOf(reply: Exclude<Reply<unknown>, { kind: "answer" }>): string {
  if (reply.kind === "lost") return textDoor.lost;
  return reply.kind === "wait" ? reply.text : reply.refusal.text;
}

/** Whole seconds until a moment of the page, counted down. */
export function useSecondsTo(until: number): number {
  const left = () => Math.max(0, Math.ceil((until - performance.now()) / 1000));
  const [seconds, setSeconds] = useState(0);
  useEffect(() => {
    setSeconds(left());
    const timer = setInterval(() => {
      setSeconds(left());
      if (left() === 0) clearInterval(timer);
    }, 500);
    return () => clearInterval(timer);
  }, [until]);
  return seconds;
}
