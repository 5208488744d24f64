// What is drawn passes through here where the device shows another language than English.

import { options, type VNode } from "preact";

/** Attributes that people read or hear. What is typed into a field is not among them. */
const heard = ["aria-label", "title", "alt", "placeholder"];

type Drawn = { type: unknown; props: unknown };

/** Has every text and every heard attribute shown by `show`, but for what stands in an element that is not to be translated. */
export function drawBy(show: (text: string) => string): void {
  const before = options.vnode;
  options.vnode = (v: VNode) => {
    redraw(v as Drawn, show);
    before?.(v);
  };
}

export function redraw(v: Drawn, show: (text: string) => string): void {
  if (v.type === null && typeof v.props === "string") v.props = show(v.props);
  if (typeof v.type !== "string") return;
  const props = v.props as Record<string, unknown>;
  for (const name of heard) if (typeof props[name] === "string") props[name] = show(props[name]);
  if (v.type === "pre" || props["translate"] === false) props["children"] = asItIs(props["children"]);
}

/** An object of text is drawn like a text and passes by untouched. */
function asItIs(children: unknown): unknown {
  if (Array.isArray(children)) return children.map(asItIs);
  return typeof children === "string" ? new String(children) : children;
}
