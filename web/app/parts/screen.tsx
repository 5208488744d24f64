import { signal } from "@preact/signals";
import type { ComponentChildren, RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { said } from "../lang/said";
import { text } from "../text";
import "./screen.css";

interface Heading {
  title: string;
  back: { href: string; label: string } | undefined;
}

/** What the top bar shows; each screen sets it through Screen. */
export const heading = signal<Heading>({ title: "", back: undefined });

interface ScreenProps {
  /** The only first-level heading; it stands in the top bar. */
  title: string;
  /** Where "back" leads, and what stands there. */
  back?: { href: string; label: string };
  /** For screens with columns. */
  wide?: boolean;
  /** Buttons that stay in reach of the thumb at the foot of the screen. */
  foot?: ComponentChildren;
  children: ComponentChildren;
}

/** What a passing message needs below buttons that do not lie at the very foot. */
const roomOfToast = 110;

/** How far up a passing message has to go: above the buttons wherever they lie, unless there is room for it below them. */
function clearOf(el: HTMLElement): number {
  const edge = innerHeight - (Number.parseFloat(getComputedStyle(el).bottom) || 0);
  const box = el.getBoundingClientRect();
  return edge - box.bottom > roomOfToast ? 0 : Math.max(0, edge - box.top);
}

/** Tells how much the buttons at the foot cover, so that words and focus come to lie above them; nothing when they scroll away. */
export function useFoot(foot: RefObject<HTMLElement>, there: boolean): void {
  useEffect(() => {
    const el = foot.current;
    if (!el) return;
    const root = document.documentElement.style;
    const say = (height: number, clear: number) => {
      root.setProperty("--foot", `${height}px`);
      root.setProperty("--foot-clear", `${clear}px`);
    };
    const tell = () => (getComputedStyle(el).position === "sticky" ? say(el.offsetHeight, clearOf(el)) : say(0, 0));
    const watch = new ResizeObserver(tell);
    watch.observe(el);
    watch.observe(document.body); // what grows above the buttons moves them
    addEventListener("resize", tell);
    addEventListener("scroll", tell, { passive: true });
    return () => {
      watch.disconnect();
      removeEventListener("resize", tell);
      removeEventListener("scroll", tell);
      say(0, 0);
    };
  }, [there]);
}

/** The frame of one screen. */
export function Screen({ title, back, wide, foot, children }: ScreenProps) {
  useLayoutEffect(() => { // before the screen is painted: a name of two lines makes the bar higher
    heading.value = { title, back };
    document.title = `${said(title)} · ${text.name}`;
  }, [title, back?.href, back?.label]);
  const feet = useRef<HTMLDivElement>(null);
  useFoot(feet, Boolean(foot));
  return (
    <div class={wide ? "screen screen-wide" : "screen"}>
      <div class="screen-inside">{children}</div>
      {foot && <div class="screen-foot" ref={feet}>{foot}</div>}
    </div>
  );
}
