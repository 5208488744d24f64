// The one Trusted Types policy of the page. The content security policy allows
// this name once, so a second createPolicy("sideport") anywhere would throw.
// Engines without Trusted Types get the plain text.

const policy = window.trustedTypes?.createPolicy("sideport", {
  createHTML: (html) => html,
  createScriptURL: sameOrigin,
});

/** Marks HTML as safe. Must only be given what the Go core (notes_html) or the build (the guide) rendered; used by parts/safehtml.tsx alone. */
export function trustedHTML(html: string): string {
  return (policy ? policy.createHTML(html) : html) as string;
}

/** Marks the address of one of our own scripts (core worker, service worker) as safe. */
export function trustedScriptURL(path: string): string {
  return (policy ? policy.createScriptURL(path) : path) as string;
}

function sameOrigin(path: string): string {
  if (!/^\/[a-z]/.test(path)) throw new TypeError(`not a script of this program: ${path}`);
  return path;
}
