import { allowed } from "../../local/may";
import { docsOf, type Person } from "../../state";

/** The unit leads by name, for whoever needs to ask one. */
export function leadNames(): string[] {
  return docsOf<Person>("person").filter((d) => allowed(d.body.roles, "office")).map((d) => d.body.name);
}
