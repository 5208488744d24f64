// Names that web/build puts in place, and the parts of the platform that the type library does not know yet.

/** Address of the core's worker; its name holds the hash of its content. */
declare const CORE_WORKER_URL: string;

interface TrustedScriptURL {
  readonly brand: "TrustedScriptURL";
}

interface TrustedHTML {
  readonly brand: "TrustedHTML";
}

interface TrustedTypePolicy {
  createHTML(html: string): TrustedHTML;
  createScriptURL(url: string): TrustedScriptURL;
}

interface Window {
  readonly trustedTypes?: {
    createPolicy(
      name: string,
      rules: { createHTML(html: string): string; createScriptURL(url: string): string },
    ): TrustedTypePolicy;
  };
}
