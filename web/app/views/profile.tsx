import { profile, type Column, type ProfileRow } from "../drawing/profile";
import { parameters } from "../generated/vocabulary";
import type { SheetUse } from "../state";
import { textCase } from "../text-case";
import { cardQuestion, limitsQuestion } from "./unresolved";
import "./profile.css";

const words = textCase.profile;

// In units of the drawing; a column is as wide as three digits.
const step = 44, bar = 20, high = 64, top = 6, foot = 40;

/** Power, vacuum and flow over the phases, with the usual range of each, so that a wrong preset jumps out. */
export function Profile({ use, current }: { use: SheetUse; current: number }) {
  const rows = profile(use.sheet.limits.map((p) => ({
    name: p.name, kind: p.kind, values: p.values, asked: limitsQuestion(use, p) !== undefined,
    base: p.variant && !cardQuestion(use, `phases/${p.phase}`) ? p.base : undefined,
  })));
  if (rows.length === 0) return null;
  const all = rows.flatMap((r) => r.columns);
  return (
    <section class="profile" aria-labelledby="profile-head">
      <h2 id="profile-head">{words.title}</h2>
      <div class="profile-rows">{rows.map((r) => <Row key={r.id} row={r} current={current} />)}</div>
      <p class="quiet small">
        {words.order} {all.some((c) => c.usual) && words.usual(sources())} {all.some((c) => c.outside) && words.outside} {all.some((c) => c.base !== null) && words.base}
      </p>
    </section>
  );
}

/** Where the usual ranges come from, as the vocabulary says it. */
function sources(): string {
  return [...new Set(parameters.flatMap((p) => (p.usual ?? []).filter((u) => u.phase).map((u) => u.source)))].join("; ");
}

function Row({ row: r, current }: { row: ProfileRow; current: number }) {
  const width = r.columns.length * step;
  return (
    <figure>
      <figcaption>{words.row(r.label, r.max, r.unit)}</figcaption>
      <svg class="profile-drawing" viewBox={`0 0 ${width} ${top + high + foot}`} role="img" aria-label={inWords(r)}>
        <path class="profile-ground" d={`M0 ${top + high}H${width}`} />
        {r.columns.map((c, i) => <Bar key={i} column={c} n={i} current={i === current} />)}
      </svg>
    </figure>
  );
}

/** The same in words, for whoever does not see it. */
function inWords(r: ProfileRow): string {
  const one = (c: Column) => (c.asked ? textCase.limits.unresolved : c.value === null ? words.none : `${c.value}\u00a0${r.unit}${c.outside ? `, ${words.outsideShort}` : ""}`);
  return `${r.label}: ${r.columns.map((c) => `${c.name} ${one(c)}`).join("; ")}.`;
}

function Bar({ column: c, n, current }: { column: Column; n: number; current: boolean }) {
  const middle = n * step + step / 2, left = middle - bar / 2;
  const y = (part: number) => top + high * (1 - part);
  return (
    <g class={current ? "profile-now" : undefined}>
      {c.usual && <path class="profile-usual" d={`M${left - 6} ${y(c.usual.max)}h${-4}V${y(c.usual.min)}h4`} />}
      {c.value !== null && <rect class="profile-bar" x={left} y={y(c.height)} width={bar} height={Math.max(1, high * c.height)} />}
      {c.base !== null && <path class="profile-base" d={`M${left - 4} ${y(c.base)}h${bar + 8}`} />}
      {c.outside && <path class="profile-outside" d={`M${left + bar + 1} ${y(c.height) + 11}l6 -11l6 11z`} />}
      <text class="profile-value" x={middle} y={top + high + 17}>{c.asked ? "?" : c.value ?? "–"}</text>
      {current && <path class="profile-here" d={`M${left - 3} ${top + high + 2}h${bar + 6}`} />}
      <text x={middle} y={top + high + foot - 5}>{n + 1}</text>
    </g>
  );
}
