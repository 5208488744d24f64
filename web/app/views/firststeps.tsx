import { useState } from "preact/hooks";
import type { Person } from "../generated/types";
import { Button, Link } from "../parts";
import { doc, me } from "../state";
import { textHelp } from "../text-help";
import "./firststeps.css";

const words = textHelp.first;

/** What somebody who is new needs to know first, by the role of the person chosen here, until it is put away on this device. */
export function FirstSteps() {
  const person = me.value ? doc<Person>("person", me.value)?.body : undefined;
  const [gone, setGone] = useState<readonly string[]>([]);
  const role = person ? person.roles.find((r) => !gone.includes(r) && !isAway(r)) : "nobody";
  if (!role || gone.includes(role) || isAway(role)) return null;
  const { title, steps, links = [], page } = role === "nobody" ? words.nobody : words.roles[role];
  const away = () => {
    putAway(role);
    setGone([...gone, role]);
  };
  return (
    <section class="firststeps" aria-label={words.region}>
      <h2>{title}</h2>
      <ul>{steps.map((s) => <li key={s}>{s}</li>)}</ul>
      <div class="row">
        {links.map((l) => <Button key={l.href} href={l.href}>{l.label}</Button>)}
        <Link class="firststeps-more" href={page ? `/help/${page}` : "/help"}>{words.more}</Link>
        <Button kind="quiet" icon="cross" onClick={away}>{words.away}</Button>
      </div>
    </section>
  );
}

function keyOf(role: string): string {
  return `sideport/first-steps/${role}`;
}

// A browser that refuses this store shows the steps again; nothing is lost by it.
function isAway(role: string): boolean {
  try { return localStorage.getItem(keyOf(role)) !== null; } catch { return false; }
}

function putAway(role: string): void {
  try { localStorage.setItem(keyOf(role), "away"); } catch { /* shown again */ }
}
