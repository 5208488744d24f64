import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { heightOfPressure, pressureOfHeight } from "../app/views/bottle";

// The core's own table: static pressure of a column of water, by calculation with the factors of NIST SP 811, appendix B.8.
const table = readFileSync("testdata/tables/pressure.csv", "utf8").split("\n").filter((l) => /^\d/.test(l)).map((l) => l.split(","));

test("a bottle's height as a pressure agrees with the core's table, to the whole mmHg", () => {
  assert.ok(table.length >= 5, "the table is there");
  for (const [cm, mmHg] of table) assert.equal(pressureOfHeight(cm!), String(Math.round(Number(mmHg))), `${cm} cm`);
});

test("there and back is the height again, to the centimetre that a whole mmHg can tell", () => {
  for (let cm = 0; cm <= 150; cm++) {
    const back = Number(heightOfPressure(pressureOfHeight(String(cm))!));
    assert.ok(Math.abs(back - cm) <= 1, `${cm} cm came back as ${back} cm`);
  }
});

test("the hard limit of the vocabulary: 110 mmHg is a bottle at 150 cm", () => {
  assert.equal(pressureOfHeight("150"), "110");
  assert.equal(heightOfPressure("110"), "150");
});

test("what is no plain number is not converted", () => {
  for (const words of ["70 to 80", "high", "-5", "NaN"]) assert.equal(pressureOfHeight(words), null, words);
});
