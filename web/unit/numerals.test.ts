import assert from "node:assert/strict";
import test from "node:test";
import { inGermanFigures } from "../app/lang/numerals";
import { isNumber, mayBecomeNumber, partsThousands, withMark, withMarks, withPoint, withPoints } from "../app/parts/decimal";

test("decimals have a comma", () => {
  const cases: Record<string, string> = {
    "0.5 ml": "0,5 ml",
    "0.5\u00a0ml": "0,5\u00a0ml",
    "0.5": "0,5",
    "-0.25": "-0,25",
    "2.2 mm, 1.1 mm": "2,2 mm, 1,1 mm",
    "0.1–6.9": "0,1–6,9",
    "0.5 → 1.25 mL": "0,5 → 1,25 mL",
    "Limit: 3.": "Limit: 3.",
    "power 60.5 %.": "power 60,5 %.",
    "(0.7356 mmHg)": "(0,7356 mmHg)",
    "0.1 mg/0.5 mL": "0,1 mg/0,5 mL",
    "1.5×": "1,5×",
    "3 to 7": "3 bis 7",
    "0.5 % to 1.25 %": "0,5 % bis 1,25 %",
    "3 to 7 mm": "3 bis 7 mm",
    "made up with 5 mL to 10 mg/mL": "made up with 5 mL to 10 mg/mL",
    "5 mL to 10 mL": "5 mL to 10 mL",
  };
  for (const [english, german] of Object.entries(cases)) assert.equal(inGermanFigures(english), german);
});

test("days are German", () => {
  assert.equal(inGermanFigures("changed 3 March 2027 by Anna"), "changed 3. März 2027 by Anna");
  assert.equal(inGermanFigures("31 Oct 2027"), "31. Oktober 2027");
});

test("what holds a point that parts no decimals stays, and so does what has its comma", () => {
  for (const text of [
    "31.03.2027", "2027-03-31", "07:42", "12:40.5", "1.26.1", "v1.2", "Version 1.2", "software 4.1", "WCAG 2.2", "CC BY 4.0", "OFL-1.1",
    "10.1038/eye.2008.312", "doi:10.1136/bjo.2010.1", "(10.1016/j.x.2020.1)", "https://example.org/1.5", "192.168.0.1:8080", "theatre2.5.example.org",
    "sideport-1.5.json", "4K7M-92XD", "“1.0” is read as ten times as much", "„0.5“ schreiben", "0,5 ml", "1,125 ml", "Table 3.2",
  ]) assert.equal(inGermanFigures(text), text);
});

test("a point between thousands stays where somebody wrote it, and so does a time of day", () => {
  for (const text of [
    "Heparin 10.000 IE", "vor dem Chop 1.500 Schnitte", "Cefuroxime 1.000 mg", "1 : 10.000", "um 7.30 Uhr", "von 7.30 bis 8.00 Uhr", "10.000 IE/mL", "-1.000", "Endothel 2.345 Zellen",
  ]) assert.equal(inGermanFigures(text), text);
  assert.equal(inGermanFigures("Heparin 10.000 IE fehlt.", true), "Heparin 10.000 IE fehlt.", "in a sentence of the program's as well, which ends no decimal with a nought");
  const decimals: readonly (readonly [english: string, german: string, ours: boolean])[] = [
    ["Density of 1.005 was taken", "Density of 1,005 was taken", true],
    ["2.049 D", "2,049 D", false],
    ["√(2² + 2.4²) × cos 2θ = 2.049 D", "√(2² + 2,4²) × cos 2θ = 2,049 D", false],
    ["0.125 bis zum Chop", "0,125 bis zum Chop", false],
    ["2.5 mm, um 7.30 Uhr 1.5 mL", "2,5 mm, um 7.30 Uhr 1,5 mL", false],
  ];
  for (const [english, german, ours] of decimals) assert.equal(inGermanFigures(english, ours), german);
});

test("a figure is turned once: twice is the same", () => {
  for (const text of ["0.5 ml", "1.125 ml", "961,208 eyes"]) assert.equal(inGermanFigures(inGermanFigures(text)), inGermanFigures(text));
});

test("a number field shows and takes the comma, keeps the point, and refuses what is no number", () => {
  const cases: readonly (readonly [typed: string, may: boolean, stored: string | null])[] = [
    ["0,5", true, "0.5"], ["0.5", true, "0.5"], ["65", true, "65"], ["0,", true, null], ["", true, null],
    ["1,2,3", false, null], ["1.2.3", false, null], ["1,2.3", false, null], [",5", false, null], ["1 000", false, null], ["0,5 ", false, null], ["-1", false, null], ["1e3", false, null],
  ];
  for (const [typed, may, stored] of cases) {
    const value = withPoint(typed, ",");
    assert.equal(mayBecomeNumber(value, false), may, typed);
    if (stored !== null) assert.ok(isNumber(value) && value === stored && withMark(value, ",") === typed.replace(".", ","), typed);
  }
});

test("a text with figures shows and takes the comma", () => {
  for (const [shown, stored] of [["0,5 mg/mL", "0.5 mg/mL"], ["1:1000", "1:1000"], ["1:10,000", "1:10,000"], ["10 mg in 2,5 mL", "10 mg in 2.5 mL"], ["0,", "0,"]] as const) {
    assert.equal(withPoints(shown, ","), stored);
    assert.equal(withMarks(stored, ","), shown);
    assert.equal(withPoints(shown, "."), shown);
  }
});

test("a point typed between thousands is seen, where the mark is a comma", () => {
  for (const typed of ["10.000", "1.500", "-1.000", "1.000.000", "2.345", "10.000 units/mL", "1:10.000", "1 : 1.000"]) {
    assert.ok(partsThousands(typed, ","), typed);
    assert.ok(!partsThousands(typed, "."), typed);
  }
  for (const typed of ["10,000", "0.5", "2.5", "2.50", "0.125", "10.0000", "1000.500", "0.5 mg/mL", "10", "1:1000", ""]) assert.ok(!partsThousands(typed, ","), typed);
});

test("where the mark is a point a comma is refused", () => {
  for (const typed of ["0,5", "1,000"]) assert.equal(mayBecomeNumber(withPoint(typed, "."), false), false);
  assert.equal(withMark("0.5", "."), "0.5");
});
