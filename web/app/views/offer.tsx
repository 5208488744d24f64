import type { ComponentChildren } from "preact";
import { me, iMay, whoMay } from "../state";
import { text } from "../text";

interface OfferProps {
  kind: string;
  /** Whose the document is, or becomes; nothing: everybody's. */
  owner?: string | undefined;
  children?: ComponentChildren;
}

/** What not everybody here may do: the way to it, or whose it is to do. */
export function Offer({ kind, owner, children }: OfferProps) {
  if (me.value === null || iMay(kind, owner)) return <>{children}</>;
  return <p class="quiet">{text.doneBy(whoMay(kind, me.value, owner).map((r) => text.roles[r]).join(", "))}</p>;
}
