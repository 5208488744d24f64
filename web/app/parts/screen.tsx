import { signal } from "@preact/signals";
import type { ComponentChildren, RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";
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

/** Tells how much the buttons at the foot cover, so that words and focus come to lie above them; nothing when they scroll away. */
export function useFoot(foot: RefObject<HTMLElement>, there: boolean): void {
  useEffect(() => {
    const el = foot.current;
    if (!el) return;
    const say = (height: number) => document.documentElement.style.setProperty("--foot", `${height}px`);
    const tell = () => say(getComputedStyle(el).position === "sticky" ? el.offsetHeight : 0);
    const watch = new ResizeObserver(tell);
    watch.observe(el);
    addEventListener("resize", tell);
    return () => {
      watch.disconnect();
      removeEventListener("resize", tell);
      say(0);
    };
  }, [there]);
}

/** The frame of one screen. */
export function Screen({ title, back, wide, foot, children }: ScreenProps) {
  useEffect(() => {
    heading.value = { title, back };
    document.title = `${title} · ${text.name}`;
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
