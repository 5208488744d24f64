import { type RefObject } from "preact";
import { useEffect, useLayoutEffect, useState } from "preact/hooks";

// A line is whole in sight above its buttons: the question in the largest type in which it is.

/** The sizes of type that aloud.css has for a question, the largest first. */
const sizes = ["full", "40", "36", "32", "28"];

/**
 * Sets the question in the largest type that leaves the whole line in sight. Where none does, the line scrolls above
 * the buttons; then the answer is true for as long as something of it is hidden behind them.
 */
export function useWhole(words: RefObject<HTMLElement>, question: RefObject<HTMLElement>, feet: RefObject<HTMLElement>, there: boolean): boolean {
  const [hidden, setHidden] = useState(false);
  const look = () => setHidden(covers(feet.current, words.current));
  useLayoutEffect(() => { fit(words.current, question.current); look(); });
  useEffect(() => {
    let frame = 0;
    const again = () => {
      cancelAnimationFrame(frame);
      frame = requestAnimationFrame(() => { fit(words.current, question.current); look(); });
    };
    const watch = new ResizeObserver(again);
    for (const el of [words.current, feet.current, words.current?.closest(".run-live")]) if (el) watch.observe(el);
    addEventListener("resize", again);
    addEventListener("scroll", look, { passive: true });
    return () => {
      cancelAnimationFrame(frame);
      watch.disconnect();
      removeEventListener("resize", again);
      removeEventListener("scroll", look);
    };
  }, [there]);
  return hidden;
}

function fit(words: HTMLElement | null, question: HTMLElement | null): void {
  const run = words?.closest<HTMLElement>(".run-live");
  if (!run || !question) return;
  for (const size of sizes) {
    question.dataset.size = size;
    if (run.offsetHeight <= Number.parseFloat(getComputedStyle(run).minHeight) + 1) return;
  }
}

function covers(feet: HTMLElement | null, words: HTMLElement | null): boolean {
  if (!feet || !words || getComputedStyle(feet).position !== "sticky") return false;
  return words.getBoundingClientRect().bottom > feet.getBoundingClientRect().top + 1;
}
