import type { ComponentChildren } from "preact";
import { actionOf } from "../local/may";
import { Button } from "../parts";
import { me, iMay, unlocked, whoMay } from "../state";
import { text } from "../text";

interface OfferProps {
  kind: string;
  /** Whose the document is, or becomes; nothing: everybody's. */
  owner?: string | undefined;
  children?: ComponentChildren;
}

/** What not everybody here may do: the way to it, or what it is, whose it is to do, and the way for them to sign in. */
export function Offer({ kind, owner, children }: OfferProps) {
  if (me.value === null || iMay(kind, owner)) return <>{children}</>;
  const what = text.doing[actionOf(kind, me.value, owner)] ?? text.doingOther;
  const roles = whoMay(kind, me.value, owner).map((r) => text.roles[r]).join(", ");
  return (
    <div class="row">
      <p class="quiet">{text.doneBy(what, roles)}</p>
      <Button kind="quiet" icon="person" href="/person">{unlocked.value ? text.signInOther : text.signInHere}</Button>
    </div>
  );
}
