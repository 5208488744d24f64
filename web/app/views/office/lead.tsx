import type { ComponentChildren } from "preact";
import { Button, EmptyState, Screen } from "../../parts";
import { allowed } from "../../local/may";
import { session, status } from "../../state";
import { textOffice } from "../../text-office";
import { leadNames } from "./leads";

interface LeadScreenProps {
  title: string;
  back?: { href: string; label: string };
  children: ComponentChildren;
}

const toOffice = () => ({ href: "/office", label: textOffice.toOffice });

/** A screen of the unit lead. Others read who to ask; the server holds the rule whatever a screen shows. */
export function LeadScreen({ title, back = toOffice(), children }: LeadScreenProps) {
  const who = session.value;
  if (!who) {
    return (
      <Screen title={title} back={back}>
        <EmptyState title={textOffice.signInFirst} action={<Button kind="primary" href="/person">{textOffice.signIn}</Button>}>
          <p>{textOffice.signInWhy}</p>
          {status.value.server === "not reached" && <p>{textOffice.away}</p>}
        </EmptyState>
      </Screen>
    );
  }
  if (!allowed(who.roles, "office")) {
    return (
      <Screen title={title} back={back}>
        <EmptyState title={textOffice.onlyLead}><p>{textOffice.onlyLeadWhy(leadNames())}</p></EmptyState>
      </Screen>
    );
  }
  return <Screen title={title} back={back}>{children}</Screen>;
}
