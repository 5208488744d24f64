import assert from "node:assert/strict";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import process from "node:process";
import test from "node:test";
import { frameOf, type Eye, type Stated } from "../app/drawing/eye";
import { picture } from "../app/drawing/pictures";
import { faceShapes, sectionShapes, written } from "../app/drawing/shapes";
import { isDrawn, stagesOf, type Drawn } from "../app/drawing/stages";
import { choices } from "../app/generated/vocabulary";

// Every technique, eye and seat as a file that a browser opens: all stages from left to right, face-on above, the
// section below. SIDEPORT_GOLDEN=write rewrites them; look at the difference before you keep it. Run from the top folder.

const folder = "testdata/drawings";
const width = 350;

function drawing(technique: Drawn, eye: Eye, seat: "temporal" | "superior"): string {
  const basics: Stated = { handedness: "right-handed", seat, main_place: seat, side_hours: "2.5", side_hand: "left" };
  const f = frameOf(eye, basics);
  const stages = stagesOf(technique).map((s, i) => {
    const p = picture(technique, s, f);
    return `<g transform="translate(${i * width} 0)"><title>${s}</title>\n${written(faceShapes(p, f), "  ")}`
      + (p.section ? `<g transform="translate(0 300)">\n${written(sectionShapes(p.section, f), "    ")}</g>` : "") + "</g>\n";
  });
  return `<?xml-stylesheet href="../../web/app/theme.css"?>\n<?xml-stylesheet href="../../web/app/drawing/nucleus.css"?>\n`
    + `<svg xmlns="http://www.w3.org/2000/svg" class="drawn" fill="none" viewBox="-175 -165 ${stages.length * width} 545"><title>${technique}, ${eye}, seat ${seat}. Schematic, not to scale.</title>\n${stages.join("")}</svg>\n`;
}

const wanted = new Map(choices.technique.filter(isDrawn).flatMap((t) => (["right eye", "left eye"] as const).flatMap((eye) => choices.seat.map((seat) =>
  [`${t}-${eye}-${seat}.svg`.replaceAll(" ", "-"), drawing(t, eye, seat)] as const))));

if (process.env["SIDEPORT_GOLDEN"] === "write") {
  mkdirSync(folder, { recursive: true });
  for (const [name, text] of wanted) writeFileSync(`${folder}/${name}`, text);
}

test("there is a file for each drawing and no other", () => {
  assert.deepEqual(readdirSync(folder).sort(), [...wanted.keys()].sort());
});

for (const [name, text] of wanted) {
  test(`${name} is drawn as it was looked at`, () => assert.equal(text, readFileSync(`${folder}/${name}`, "utf8")));
}
