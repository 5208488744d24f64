import type { Card } from "../generated/types";
import { Button, Icon } from "../parts";
import { docsOf, me } from "../state";
import { textProposals } from "../text-proposals";

const words = textProposals;

/** Proposals for whoever is editing here: what waits for their answer, and what of theirs was answered since they last looked. Nothing when there is neither. */
export function ProposalNotice() {
  const who = me.value;
  if (who === null) return null;
  const cards = docsOf<Card>("card");
  const forMe = cards.filter((c) => c.body.owner === who).flatMap((c) => c.proposals ?? []).filter((p) => !p.answered).length;
  const answered = answersTo(who).filter((a) => a.at > seen(who)).length;
  if (forMe + answered === 0) return null;
  return (
    <div class="panel row-apart">
      <p><Icon name="question" /> {[forMe > 0 && words.waitsForYou(forMe), answered > 0 && words.answeredForYou(answered)].filter(Boolean).join(". ")}</p>
      <Button href="/proposals">{words.open}</Button>
    </div>
  );
}

function answersTo(who: string) {
  return docsOf<Card>("card").flatMap((c) => c.answered ?? []).filter((a) => a.by === who && a.fate !== "replaced");
}

const key = (who: string) => `sideport/proposals/${who}`;

function seen(who: string): string {
  try {
    return localStorage.getItem(key(who)) ?? "";
  } catch {
    return ""; // what cannot be remembered is said again
  }
}

/** Remembers on this device that the answers were looked at. */
export function lookedAt(): void {
  const who = me.peek();
  const newest = who === null ? undefined : answersTo(who).map((a) => a.at).sort().pop();
  if (who === null || newest === undefined) return;
  try {
    localStorage.setItem(key(who), newest);
  } catch {
    // Said again the next time.
  }
}
