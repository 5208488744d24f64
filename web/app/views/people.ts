import { doc, type Person } from "../state";

/** The name of a person of the unit; the id itself when this device does not know the person. */
export function nameOf(id: string): string {
  return doc<Person>("person", id)?.body.name ?? id;
}
