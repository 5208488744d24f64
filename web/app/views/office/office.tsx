import { Icon, Link } from "../../parts";
import { textOffice } from "../../text-office";
import { LeadScreen } from "./lead";
import "./office.css";

const parts = ["devices", "people", "audit"] as const;

/** Where the unit lead finds what only the unit lead does. */
export function Office() {
  return (
    <LeadScreen title={textOffice.title} back={{ href: "/about", label: textOffice.backAbout }}>
      <p>{textOffice.lead}</p>
      <ul role="list" class="stack">
        {parts.map((p) => (
          <li key={p}>
            <Link href={`/office/${p}`} class="panel office-row">
              <span class="stack-close">
                <strong class="office-name">{textOffice.parts[p].title}</strong>
                <span class="quiet">{textOffice.parts[p].hint}</span>
              </span>
              <Icon name="forward" />
            </Link>
          </li>
        ))}
      </ul>
    </LeadScreen>
  );
}
