// The bridge to the Go core. Twin of the comment in web/core/call.go: a change
// here is a change there.
//
// One call: a name and bytes go in, bytes come out. Both are JSON. The answer
// is {"ok": …} or {"error": {"code", "text", "problems"}}.
//
//   check     {kind, body}                                       → {problems, view?, body}
//   generate  {card, card_revision, rules, rules_revision, case} → sheet
//   merge     {kind, base, head, mine}                           → {body, questions}
//   diff      {kind, from, to}                                   → {changes}
//   format    {card}                                             → {markdown}
//   parse     {markdown}                                         → {card, problems}
//   reckon    {name, in}                                         → {working, problems}
//   calculations {parts}                                         → {calculations, recipes}
//   risk      {parts, case, given}                               → assessment; refused while the unit has the part off
//   risk_tables {}                                               → {purpose, inputs, tables}
//   trial     {from, to, cases: [{card, case}]}                  → {trials}
//   reading   {pauses: [[text]]}                                 → {pauses: [{words, seconds, long, most}]}
//   rank      {cards, case}                                      → {ranked}
//   big_changes {kind, from, to}                                 → {changes: [{path, label, from, to, factor}]}
//   identity  {label, text}                                      → {problems}
//
// Between the page and the worker a call carries a number; the worker posts
// "ready" once and then one answer for each call, in order. A worker that
// stops is replaced, and the calls it held are errors: nothing was kept.

import type { Problem } from "../generated/types";

export interface Call {
  n: number;
  name: string;
  input: Uint8Array;
}

export type FromWorker = { ready: true } | { n: number; output: Uint8Array } | { stopped: string };

export type Answer<T> = { ok: T } | { error: { code: string; text: string; problems?: Problem[] | null } };
