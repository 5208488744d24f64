import assert from "node:assert/strict";
import test from "node:test";
import { frameOf, limbus, type Eye, type Frame, type Point, type Stated } from "../app/drawing/eye";
import { depth, picture, piecesOf, radius, type Picture, type View } from "../app/drawing/pictures";
import { drawnSteps, isDrawn, stagesOf, type Drawn, type PlainStep } from "../app/drawing/stages";
import { choices } from "../app/generated/vocabulary";

// The facts drawn are common practice, no source, except the number of grooves and pieces, which the techniques are
// named for. The geometry is checked against what a mirror and a turned chair do.

const techniques = choices.technique.filter(isDrawn) as Drawn[];
const eyes: readonly Eye[] = ["right eye", "left eye"];
const temporal: Stated = { handedness: "right-handed", seat: "temporal", main_place: "temporal", side_hours: "2.5", side_hand: "left" };
const superior: Stated = { ...temporal, seat: "superior", main_place: "superior" };
const leftHanded = (of: Stated): Stated => ({ ...of, handedness: "left-handed", side_hand: "right" });

const pictures = (t: Drawn, f: Frame): Picture[] => stagesOf(t).map((s) => picture(t, s, f));
const points = (v: View): Point[] => [...v.grooves.flat(), ...v.cracks.flat(), ...v.tools.map((x) => x.at), ...v.moves.flatMap((m) => m.path), ...(v.piece ?? [])];
const rounded = (ps: readonly Point[]) => ps.map(([x, y]) => [Math.round(x * 1e6) / 1e6 + 0, Math.round(y * 1e6) / 1e6 + 0]);
const mirrored = (ps: readonly Point[]): Point[] => ps.map(([x, y]) => [-x, y]);
const all = (f: Frame): Point[] => techniques.flatMap((t) => pictures(t, f).flatMap((p) => [...points(p.face), ...p.face.tools.map((x) => x.from)]));

function same(got: readonly Point[], want: readonly Point[], message?: string): void {
  assert.deepEqual(rounded(got), rounded(want), message);
}

test("every technique of the vocabulary but the unit's own is drawn", () => {
  assert.deepEqual(techniques, choices.technique.filter((t) => t !== "unit's own"));
});

test("everything seen face-on lies within the lens", () => {
  for (const t of techniques) for (const eye of eyes) for (const basics of [temporal, superior, leftHanded(temporal)])
    for (const p of pictures(t, frameOf(eye, basics))) for (const [x, y] of points(p.face))
      assert.ok(Math.hypot(x, y) <= 1, `${t}, ${p.stage}: ${x} ${y}`);
});

test("a section lies within the lens, or before it while the nucleus is out of the bag", () => {
  for (const t of techniques) for (const { stage, section } of pictures(t, frameOf("right eye", temporal)))
    for (const [x, y] of section ? points(section) : []) {
      const within = x ** 2 + (y / depth.lens) ** 2 <= 1.02; // the tip works at the surface of the lens
      const before = y > 0 && Math.abs(x) < 1 && y < 0.9 - 0.5 * x ** 2; // under the cornea
      assert.ok(within || before, `${t}, ${stage}: ${x} ${y}`);
      if (!["tilt", "hollow", "flip", "remove"].includes(stage)) assert.ok(within, `${t}, ${stage}: ${x} ${y} is outside the lens`);
    }
});

test("shafts come through the incisions", () => {
  for (const eye of eyes) {
    const f = frameOf(eye, temporal);
    for (const t of techniques) for (const { face } of pictures(t, f)) for (const tool of face.tools) {
      const through = tool.who === "second" ? f.side : f.main;
      assert.ok(Math.hypot(...tool.from) > limbus);
      same([[tool.from[0] / Math.hypot(...tool.from), tool.from[1] / Math.hypot(...tool.from)]], [through], `${t}: ${tool.who}`);
    }
  }
});

test("grooves and pieces by technique: a cross and quadrants, one groove, none", () => {
  const grooves = (t: Drawn) => Math.max(...pictures(t, frameOf("left eye", superior)).map((p) => p.face.grooves.length));
  assert.deepEqual(techniques.map((t) => [t, grooves(t)]), [
    ["divide and conquer", 2], ["stop and chop", 1], ["horizontal chop", 0], ["vertical chop", 0], ["flip", 0],
  ]);
  const cross = picture("divide and conquer", "cross", frameOf("left eye", superior)).face.grooves;
  const [a, b] = cross.map(([p, q]): Point => [q[0] - p[0], q[1] - p[1]]);
  assert.ok(a && b && Math.abs(a[0] * b[0] + a[1] * b[1]) < 1e-9, "the grooves stand at right angles");
  assert.equal(piecesOf("divide and conquer"), 4);
  assert.equal(picture("divide and conquer", "remove", frameOf("left eye", superior)).face.cracks.length, 4);
});

// What a turned disc does: a chop cracks along the way of the tip, so after the turn the crack is that way turned as the arrow goes.
test("a crack leans the way the nucleus was turned, in either hand", () => {
  for (const eye of eyes) for (const basics of [temporal, leftHanded(temporal)]) {
    const f = frameOf(eye, basics);
    for (const t of ["stop and chop", "horizontal chop", "vertical chop"] as const) {
      const { cracks: [crack], moves: [arrow] } = picture(t, "turn", f).face;
      assert.ok(crack && arrow);
      const angle = ([x, y]: Point) => Math.atan2(y, x);
      const first = arrow.path[0] as Point, last = arrow.path[arrow.path.length - 1] as Point;
      const by = angle(last) - angle(first);
      const [x, y] = f.along;
      same([crack[0]], [[radius.core * (x * Math.cos(by) - y * Math.sin(by)), radius.core * (x * Math.sin(by) + y * Math.cos(by))]], `${t}, ${basics.handedness}`);
    }
  }
});

test("a chopper that comes from the edge stands between the core and the capsule", () => {
  for (const [t, s] of [["horizontal chop", "chop"], ["stop and chop", "halves"]] as const) {
    const { face, section } = picture(t, s, frameOf("right eye", temporal));
    for (const v of [face, section]) {
      const [x, y] = v?.tools.find((tool) => tool.who === "second")?.at ?? [0, 0];
      assert.ok(Math.hypot(x, y) > radius.core && Math.hypot(x, y) < 1, `${t}: ${x} ${y}`);
    }
  }
});

test("mirror law: the left eye of a left-handed surgeon is the right eye of a right-handed one in a mirror", () => {
  for (const basics of [temporal, superior, { ...superior, main_place: "superotemporal" }, { ...superior, main_place: "superonasal" }] satisfies Stated[]) {
    const right = frameOf("right eye", basics), left = frameOf("left eye", leftHanded(basics));
    same(all(left), mirrored(all(right)), basics.main_place);
    same(Object.values(left.sides ?? {}), mirrored(Object.values(right.sides ?? {})));
  }
});

test("the same hands at the temple work alike on both eyes; only the sides of the eye change places", () => {
  const right = frameOf("right eye", temporal), left = frameOf("left eye", temporal);
  same(all(left), all(right));
  same(Object.values(left.sides ?? {}), mirrored(Object.values(right.sides ?? {})));
});

test("from the temple to the head of the patient the eye turns by a quarter, one way for each eye", () => {
  for (const eye of eyes) {
    const sides = (of: Stated) => Object.values(frameOf(eye, of).sides ?? {});
    const quarter = (p: Point): Point => (eye === "right eye" ? [-p[1], p[0]] : [p[1], -p[0]]);
    same(sides(superior), sides(temporal).map(quarter));
    same(all(frameOf(eye, superior)), all(frameOf(eye, temporal)), "what is done from the near side stays at the near side");
    // An incision that stays at the temple turns with the eye.
    const stays = frameOf(eye, { ...superior, main_place: "temporal" });
    same(all(stays), all(frameOf(eye, temporal)).map(quarter));
  }
});

// Anatomy: a patient on the back, seen from above, has the right side at the right hand of whoever sits at the head.
test("where the sides of the eye lie for who sits where", () => {
  const near: Point = [0, -1], far: Point = [0, 1], left: Point = [-1, 0], right: Point = [1, 0];
  const cases: [Eye, Stated, Record<string, Point>][] = [
    ["right eye", superior, { superior: near, inferior: far, temporal: right, nasal: left }],
    ["left eye", superior, { superior: near, inferior: far, temporal: left, nasal: right }],
    ["right eye", temporal, { superior: left, inferior: right, temporal: near, nasal: far }],
    ["left eye", temporal, { superior: right, inferior: left, temporal: near, nasal: far }],
  ];
  for (const [eye, of, want] of cases) {
    const got = frameOf(eye, of).sides ?? {};
    for (const [side, at] of Object.entries(want)) same([got[side as keyof typeof got]], [at], `${eye}, ${of.seat}: ${side}`);
  }
});

test("an incision between two sides of the eye lies between them", () => {
  for (const eye of eyes) for (const of of [superior, temporal]) {
    const f = frameOf(eye, { ...of, main_place: "superotemporal" }), g = frameOf(eye, { ...of, main_place: "superonasal" });
    const half = Math.SQRT1_2;
    const between = (a: Point, b: Point): Point => [(a[0] + b[0]) * half, (a[1] + b[1]) * half];
    assert.ok(f.sides);
    if (f.sides) same([f.main, g.main], [between(f.sides.superior, f.sides.temporal), between(f.sides.superior, f.sides.nasal)]);
  }
});

test("the side incision lies as many clock hours from the main one as the card says, to the hand it says", () => {
  same([frameOf("right eye", { ...temporal, side_hours: "3" }).side], [[-1, 0]]);
  same([frameOf("right eye", { ...temporal, side_hours: "3", side_hand: "right" }).side], [[1, 0]]);
  same([frameOf("right eye", { ...temporal, side_hours: "2" }).side], [[-Math.sqrt(3) / 2, -0.5]]);
});

test("what the card leaves open is named and never made up", () => {
  assert.deepEqual(frameOf("right eye", {}).assumed, ["seat", "main", "side"]);
  assert.equal(frameOf("right eye", {}).sides, null);
  assert.deepEqual(frameOf("right eye", { ...temporal, main_place: "steep axis" }).assumed, ["steep"]);
  assert.deepEqual(frameOf("right eye", temporal).assumed, []);
  assert.equal(frameOf("right eye", { handedness: "left-handed" }).lean, 1);
});

const step = (title: string, kind?: PlainStep["kind"], does?: string): PlainStep => ({ key: title, title, kind, does });
const stages = (t: Drawn, ...steps: PlainStep[]) => drawnSteps(t, steps).map((d) => `${d.title}: ${d.stage}`);

test("a step has a picture where its title or its phase leaves no doubt", () => {
  assert.deepEqual(stages("divide and conquer", step("Incisions"), step("Capsulorhexis"), step("First groove", "sculpt"), step("Four grooves", "sculpt"), step("Crack"), step("Quadrants", "segment removal"), step("Lens")),
    ["Incisions: incisions", "First groove: groove", "Four grooves: cross", "Crack: crack", "Quadrants: remove"]);
  assert.deepEqual(stages("stop and chop", step("Trough", "sculpt"), step("Split", "sculpt"), step("Chop the halves", "chop"), step("Pieces out", "segment removal")),
    ["Trough: groove", "Split: crack", "Chop the halves: halves", "Pieces out: remove"]);
  assert.deepEqual(stages("horizontal chop", step("Clean the front", "sculpt"), step("First chop", "chop"), step("Turn and chop", "chop")),
    ["First chop: chop", "Turn and chop: turn", "Turn and chop: chop"]);
  assert.deepEqual(stages("vertical chop", step("Impale", "chop"), step("Cut and part", "chop"), step("Quarter turn", "chop")),
    ["Impale: hold", "Cut and part: part", "Quarter turn: turn"]);
  assert.deepEqual(stages("flip", step("Lift"), step("Bowl", "sculpt"), step("Flip"), step("Aspirate", "segment removal")),
    ["Lift: tilt", "Bowl: hollow", "Flip: flip", "Aspirate: remove"]);
});

test("what a step is called decides between acts of one phase", () => {
  assert.deepEqual(stages("stop and chop", step("One groove", "sculpt"), step("Stop", "chop"), step("Chop each half", "chop")), ["One groove: groove", "Stop: turn", "Chop each half: halves"]);
  assert.deepEqual(stages("stop and chop", step("One groove", "sculpt"), step("Halve", "sculpt"), step("Chop", "chop")), ["One groove: groove", "Halve: crack", "Chop: halves"]);
  assert.deepEqual(stages("vertical chop", step("Chop down", "chop"), step("Free the back fibres", "chop")), ["Chop down: part"]);
  assert.deepEqual(stages("horizontal chop", step("Turn with the chopper", "chop"), step("Chop and turn", "chop")), ["Turn with the chopper: turn", "Chop and turn: chop", "Chop and turn: turn"]);
  assert.deepEqual(stages("stop and chop", step("Turn the halves", "chop")), ["Turn the halves: turn"]);
});

test("a groove that is cracked in the same step has both pictures, and only where the step says so", () => {
  const groove = (does: string) => stages("stop and chop", step("One groove", "sculpt", does));
  assert.deepEqual(groove("One deep groove, then crack the nucleus in two."), ["One groove: groove", "One groove: crack"]);
  assert.deepEqual(groove("Do not crack yet."), ["One groove: groove"]);
});

test("a nucleus is hollowed flat before it is tilted and raised after it", () => {
  assert.deepEqual(stages("flip", step("Bowl", "sculpt"), step("Tilt"), step("Flip")), ["Bowl: bowl", "Tilt: tilt", "Flip: flip"]);
});

test("words of another language are placed by their phase where only one act begins it, and steps after the nucleus never", () => {
  assert.deepEqual(stages("divide and conquer", step("Eins", "sculpt"), step("Zwei", "sculpt"), step("Drei", "segment removal")), ["Eins: cross", "Drei: remove"]);
  assert.deepEqual(stages("vertical chop", step("Eins", "chop"), step("Zwei", "chop")), []);
  assert.deepEqual(stages("stop and chop", step("Eins", "sculpt"), step("Zwei", "sculpt"), step("Drei", "chop")), ["Eins: groove"]);
  assert.deepEqual(stages("horizontal chop", step("Turn the lens", "viscoelastic removal"), step("Cortex pieces", "cortex")), []);
});

test("one step for all grooves shows the whole cross", () => {
  assert.deepEqual(stages("divide and conquer", step("Grooves", "sculpt"), step("Crack")), ["Grooves: cross", "Crack: crack"]);
});

test("a step that must not be done is not drawn, and the others stay what they were", () => {
  const struck = { ...step("Cross groove", "sculpt"), hidden: true };
  assert.deepEqual(stages("divide and conquer", step("First groove", "sculpt"), struck, step("Crack")), ["First groove: groove", "Crack: crack"]);
});

test("a technique of the unit's own has no drawing", () => {
  assert.equal(isDrawn("unit's own"), false);
  assert.equal(isDrawn("layer by layer"), false);
  assert.equal(isDrawn("constructor"), false);
});
