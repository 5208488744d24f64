import { useLayoutEffect, useRef } from "preact/hooks";
import { trustedHTML } from "../trusted";
import "./safehtml.css";

/**
 * Notes as the core rendered them, and the guide as the build did: Markdown with raw HTML off and links limited to safe
 * ones. Pass `notes_html` of a view or a sheet, or a page of generated/guide, and nothing else. This is the only place where HTML made elsewhere enters a page; any other is
 * refused by the browser.
 */
export function SafeHTML({ html }: { html: string }) {
  const box = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    if (box.current) box.current.innerHTML = trustedHTML(html);
  }, [html]);
  return <div ref={box} class="notes" />;
}
