import type { Card } from "../generated/types";
import { tongue } from "../lang/said";
import { dayShort, Icon, Link, Screen } from "../parts";
import { docsOf, type Doc } from "../state";
import { text } from "../text";
import { textCompare as words } from "../text-compare";
import { techniqueOf } from "./cardwords";
import { nameOf } from "./people";

/** What a card is compared with: an older revision of itself, or another card. */
export function Choose({ of }: { of: Doc<Card> }) {
  const older = of.history.filter((h) => h.rev !== of.rev || of.waiting > 0).reverse();
  return (
    <Screen title={words.choose(of.body.title)} back={{ href: `/cards/${of.id}`, label: of.body.title }}>
      <p class="quiet">{words.chooseLead}</p>
      <section class="stack" aria-labelledby="compare-cards">
        <h2 id="compare-cards">{words.otherCards}</h2>
        <Others of={of} />
      </section>
      <section class="stack" aria-labelledby="compare-older">
        <h2 id="compare-older">{words.ownRevisions}</h2>
        {older.length === 0 ? <p>{words.noRevisions}</p> : (
          <ul role="list" class="compare-others">
            {older.map((h) => (
              <li key={h.rev}><Row href={`/cards/${of.id}/compare/${of.id}?here=${h.rev}`} title={text.revisionHead(h.rev)}
                below={`${dayShort(h.at)}, ${nameOf(h.by)}: ${h.reason || text.noReason}`} /></li>
            ))}
          </ul>
        )}
      </section>
    </Screen>
  );
}

/** Cards of the same technique first, then by surgeon. */
function Others({ of }: { of: Doc<Card> }) {
  const alike = (c: Doc<Card>) => techniqueOf(c.body) === techniqueOf(of.body);
  const name = (c: Doc<Card>) => `${nameOf(c.body.owner)} ${c.body.title}`;
  const others = docsOf<Card>("card").filter((c) => c.id !== of.id)
    .sort((a, b) => Number(alike(b)) - Number(alike(a)) || name(a).localeCompare(name(b), tongue.value.locale));
  if (others.length === 0) return <p>{words.noCards}</p>;
  return (
    <ul role="list" class="compare-others">
      {others.map((c) => (
        <li key={c.id}><Row href={`/cards/${of.id}/compare/${c.id}`} title={c.body.title}
          below={[words.whose(nameOf(c.body.owner), techniqueOf(c.body)), alike(c) && words.sameTechnique].filter(Boolean).join(" · ")} /></li>
      ))}
    </ul>
  );
}

function Row({ href, title, below }: { href: string; title: string; below: string }) {
  return (
    <Link href={href} class="cardrow">
      <span class="cardrow-words"><span class="cardrow-title">{title}</span><span class="quiet">{below}</span></span>
      <Icon name="forward" />
    </Link>
  );
}
