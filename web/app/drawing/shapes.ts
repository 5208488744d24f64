import { textDrawing } from "../text-drawing";
import { limbus, type Frame, type Point } from "./eye";
import { depth, radius, type Line, type Move, type Picture, type Section, type Tool, type View } from "./pictures";

// From geometry to the elements of an SVG: presentation by class only, numbers rounded so that every engine writes the same.

export type Shape = readonly [tag: "path" | "circle" | "text", attributes: Record<string, string>, text?: string];

const words = textDrawing.nucleus;
const scale = 100;
const px = (n: number): string => String(Math.round(n * scale * 10) / 10 || 0);
const xy = ([x, y]: Point): string => `${px(x)} ${px(-y)}`;

const path = (cls: string, points: readonly Point[], closed = false): Shape =>
  ["path", { class: cls, d: `M${points.map(xy).join("L")}${closed ? "Z" : ""}` }];
const circle = (cls: string, [x, y]: Point, r: number): Shape => ["circle", { class: cls, cx: px(x), cy: px(-y), r: px(r) }];
const word = (cls: string, [x, y]: Point, text: string): Shape => ["text", { class: cls, x: px(x), y: px(-y) }, text];

const plus = (a: Point, b: Point, times = 1): Point => [a[0] + b[0] * times, a[1] + b[1] * times];
function unit(from: Point, to: Point): Point {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const n = Math.hypot(dx, dy) || 1;
  return [dx / n, dy / n];
}
const aside = ([x, y]: Point): Point => [-y, x];

/** The lens face-on, as the surgeon sees it. */
export function faceShapes(p: Picture, f: Frame): Shape[] {
  const v = p.face;
  return [
    circle("d-limbus", [0, 0], limbus), circle("d-lens", [0, 0], 1), ...(v.whole ? [] : [circle("d-core", [0, 0], radius.core)]),
    ...(v.piece ? [path("d-piece", v.piece, true)] : []),
    ...(v.bowl ? [circle("d-bowl", v.bowl, radius.bowl)] : []),
    circle("d-rhexis", [0, 0], radius.rhexis),
    incision("d-main", f.main), incision("d-side", f.side),
    ...inside(v), ...v.tools.flatMap((t) => labelled(t, f)), ...(p.stage === "incisions" ? incisionWords(f) : []), ...sides(f),
  ];
}

/** The lens cut through, the cornea above. */
export function sectionShapes(s: Section, f: Frame): Shape[] {
  const ends = s.plane === "along" ? words.sectionEnds.along : f.lean < 0 ? words.sectionEnds.left : words.sectionEnds.right;
  return [
    ["path", { class: "d-limbus", d: `M${xy([-limbus, 0.4])}Q${xy([0, 1.5])} ${xy([limbus, 0.4])}` }],
    half("d-lens", 1, depth.lens), ...(s.whole ? [] : [half("d-core", radius.core, depth.core)]),
    ...(s.bowl ? [["path", { class: "d-bowl", d: `M${xy([-0.4, 0.26])}Q${xy([0, -0.42])} ${xy([0.4, 0.26])}Z` }] satisfies Shape] : []),
    ...(s.piece ? [path("d-piece", s.piece, true)] : []),
    ...inside(s, true), ...s.tools.flatMap((t) => drawn(t)),
    word("d-word d-start", [-1.3, -0.62], ends[0]), word("d-word d-end", [1.3, -0.62], ends[1]),
  ];
}

function half(cls: string, a: number, b: number): Shape {
  return ["path", { class: cls, d: `M${xy([-a, 0])}A${px(a)} ${px(b)} 0 0 1 ${xy([a, 0])}A${px(a)} ${px(b)} 0 0 1 ${xy([-a, 0])}Z` }];
}

function inside(v: View, cut = false): Shape[] {
  return [
    ...v.grooves.map((l) => (cut ? trench(l) : band(l))),
    ...v.cracks.map((l) => path("d-crack", l)),
    ...v.moves.flatMap(arrow),
  ];
}

/** A groove face-on: as wide as two tips. */
function band([a, b]: Line): Shape {
  const w = aside(unit(a, b));
  return path("d-groove", [plus(a, w, radius.groove), plus(b, w, radius.groove), plus(b, w, -radius.groove), plus(a, w, -radius.groove)], true);
}

/** A groove cut through: open to the front of the core. */
function trench([a, b]: Line): Shape {
  const rim = (x: number) => depth.core * Math.sqrt(1 - (x / radius.core) ** 2);
  return path("d-groove", [[a[0], rim(a[0])], a, b, [b[0], rim(b[0])]], true);
}

function incision(cls: string, at: Point): Shape {
  const w = aside(at);
  const long = cls === "d-main" ? 0.2 : 0.09;
  const mid: Point = [at[0] * limbus, at[1] * limbus];
  return path(cls, [plus(mid, w, long), plus(mid, w, -long)]);
}

/** Outside the cornea's edge and along it, head up as far as that goes. */
function incisionWords(f: Frame): Shape[] {
  const name = ([x, y]: Point, text: string) => {
    const [r, up] = y > -0.1 ? [1.28, 1] : [1.43, -1];
    return leaning([x * r, y * r], (Math.atan2(x * up, y * up) * 180) / Math.PI, text);
  };
  return [name(f.main, words.main), name(f.side, words.side)];
}

function leaning(spot: Point, degrees: number, text: string): Shape {
  return ["text", { class: "d-word d-middle", transform: `translate(${xy(spot)}) rotate(${Math.round(degrees)})` }, text];
}

/** The tip is a solid wedge, the second instrument a ring on a thin rod, a cannula a solid point on a thin rod. */
function drawn(t: Tool): Shape[] {
  const u = unit(t.from, t.at);
  const w = aside(u);
  if (t.who === "tip") {
    const neck = plus(t.at, u, -0.16);
    return [path("d-tip", [plus(t.from, w, 0.06), plus(neck, w, 0.06), t.at, plus(neck, w, -0.06), plus(t.from, w, -0.06)], true)];
  }
  const end = t.who === "second" ? 0.06 : 0.035;
  return [path("d-rod", [t.from, plus(t.at, u, -end)]), circle(t.who === "second" ? "d-second" : "d-cannula", t.at, end)];
}

/** The name stands beside the outer end of the shaft, on the side where a corner of the picture is free. */
function labelled(t: Tool, f: Frame): Shape[] {
  const w = aside(unit(t.from, t.at));
  // Where both sides are as free, the one between the incisions belongs to the second instrument.
  const between = Math.sign(w[0] * f.main[0] + w[1] * f.main[1]) || 1;
  const first = t.who === "second" ? between : -Math.sign(w[0] * f.across[0] + w[1] * f.across[1]) || 1;
  const free = (by: number) => Math.min(...plus(t.from, w, 0.14 * by).map(Math.abs));
  const by = free(-first) > free(first) + 0.01 ? -first : first;
  const p = plus(t.from, w, 0.16 * by);
  return [...drawn(t), word(`d-word d-who ${anchor(p[0] * (Math.abs(p[0]) > 0.9 ? -0.2 : 2))}`, [Math.max(-1.6, Math.min(1.6, p[0])), p[1] - 0.06], words.who[t.who])];
}

const anchor = (x: number): string => (x > 0.3 ? "d-start" : x < -0.3 ? "d-end" : "d-middle");

function arrow(m: Move): Shape[] {
  const [first] = m.path;
  if (!first) return [];
  if (m.depth) return [circle("d-depth", first, 0.1), ...(m.depth === "out" ? [circle("d-dot", first, 0.04)] : cross(first))];
  const to = m.path[m.path.length - 1] ?? first;
  const u = unit(m.path[m.path.length - 2] ?? first, to);
  const back = plus(to, u, -0.12);
  const head = [to, plus(back, aside(u), 0.075), plus(back, aside(u), -0.075)];
  return [path("d-move", [...m.path.slice(0, -1), back]), path(`d-head d-head-${m.who}`, head, true)];
}

function cross(at: Point): Shape[] {
  const arm = 0.07;
  return [path("d-depth", [plus(at, [arm, arm]), plus(at, [-arm, -arm])]), path("d-depth", [plus(at, [arm, -arm]), plus(at, [-arm, arm])])];
}

/** Which side of the eye lies where, and where the surgeon sits. The words at left and right stand upright beside the eye, clear of the side incision. */
function sides(f: Frame): Shape[] {
  const clear = f.side[1] > 0.3 ? -0.6 : 0.6;
  const names = Object.entries(f.sides ?? {}).map(([side, [x, y]]): Shape => {
    const text = words.sides[side as keyof typeof words.sides];
    if (Math.abs(x) < 0.5) return word("d-word d-middle", [0, y > 0 ? 1.45 : -1.62], text);
    return leaning([x * 1.5, clear], x < 0 ? -90 : 90, text);
  });
  return [...names, word("d-word d-middle d-who", [0, -1.84], words.surgeon)];
}

/** As text, for files. */
export function written(shapes: readonly Shape[], indent: string): string {
  return shapes.map(([tag, attributes, text]) => {
    const said = Object.entries(attributes).map(([k, v]) => ` ${k}="${v}"`).join("");
    return `${indent}<${tag}${said}${text === undefined ? "/>" : `>${text}</${tag}>`}\n`;
  }).join("");
}
