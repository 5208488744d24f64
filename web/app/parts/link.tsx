import type { ComponentChildren } from "preact";

interface LinkProps {
  href: string;
  class?: string | undefined;
  /** The link leads to where the reader already is. */
  current?: boolean;
  label?: string | undefined;
  children: ComponentChildren;
}

/** A link to another screen. The router sees to it that the page is not loaded again. */
export function Link({ href, class: className, current, label, children }: LinkProps) {
  return (
    <a href={href} class={className} aria-current={current ? "page" : undefined} aria-label={label}>
      {children}
    </a>
  );
}
