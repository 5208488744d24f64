// Foresees, with the same merge as the server, what a waiting edit becomes
// when the document moved on meanwhile. Only shown; the edit itself is sent as
// it was kept.

import { effect } from "@preact/signals";
import { core } from "../core/core";
import { check } from "../local/keep";
import { missingMerges, type Merged, type ToMerge } from "../local/overlay";
import * as now from "../signals";
import type { OpenQuestion } from "./protocol";

let working = false;

/** Merges whatever needs it whenever the mirror or the outbox changes and the core is ready. */
export function startRebasing(): void {
  effect(() => {
    const missing = missingMerges(now.mirror.value, [...now.sent.value, ...now.outbox.value], now.merged.value);
    if (missing.length === 0 || now.core.value !== "ready" || working) return;
    working = true;
    void mergeAll(missing);
  });
}

async function mergeAll(missing: ToMerge[]): Promise<void> {
  const done = new Map(now.merged.peek());
  for (const m of missing) done.set(m.key, await foresee(m));
  working = false; // before the signal, whose change looks for what is missing now
  now.merged.value = done;
}

async function foresee(m: ToMerge): Promise<Merged> {
  try {
    if (m.head === null) return { body: m.mine, view: (await check(m.kind, m.mine)).view, questions: [] };
    const { body, questions } = await core.call<{ body: unknown; questions: OpenQuestion[] }>("merge", {
      kind: m.kind, base: m.base, head: m.head, mine: m.mine,
    });
    const { view } = await check(m.kind, body);
    return { body, view, questions: questions.map((q) => foreseen(q, m)) };
  } catch {
    // Cannot be foreseen: the author's own body stays on the screen, the server decides.
    const { view } = await check(m.kind, m.mine).catch(() => ({ view: undefined }));
    return { body: m.mine, view, questions: [], alone: true };
  }
}

function foreseen(q: OpenQuestion, m: ToMerge): OpenQuestion {
  const headBy = now.mirror.peek().get(m.doc)?.history.at(-1)?.by ?? "";
  return { ...q, id: `${m.edit}/${q.unit}`, edit: m.edit, at: "", head_by: headBy, mine_by: m.author, foreseen: true };
}
