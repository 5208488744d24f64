import { tongue } from "../lang/said";
import { docsOf, type Person } from "../state";
import { text } from "../text";
import { textPin as words } from "../text-pin";

/** The people of the unit, each a button: whoever taps a name types its PIN. */
export function Names({ label, only, onChoose }: { label: string; only?: readonly string[]; onChoose: (id: string) => void }) {
  const people = docsOf<Person>("person").map((d) => d.body)
    .filter((p) => !only || only.includes(p.id))
    .sort((a, b) => a.name.localeCompare(b.name, tongue.value.locale));
  if (people.length === 0) return <p>{words.nobodyKnown}</p>;
  return (
    <ul class="names" role="list" aria-label={label}>
      {people.map((p) => (
        <li key={p.id}>
          <button type="button" class="names-one" onClick={() => onChoose(p.id)}>
            <span>{p.name}</span>
            <span class="names-role">{p.roles.map((r) => text.roles[r]).join(", ")}{p.invented && ` (${words.invented})`}</span>
          </button>
        </li>
      ))}
    </ul>
  );
}
