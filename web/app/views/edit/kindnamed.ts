import type { PhaseKind } from "../../generated/types";
import { choices } from "../../generated/vocabulary";
import { said } from "../../lang/said";

/** A phase called like a standard one, in English or in the language of the device, is that phase, so that its usual ranges and relations apply. */
export function kindNamed(name: string): { kind?: PhaseKind } {
  const called = name.trim().toLowerCase();
  const kind = choices["phase kind"].find((k) => [k, said(k).toLowerCase()].includes(called));
  return kind ? { kind } : {};
}
