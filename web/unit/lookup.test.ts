import assert from "node:assert/strict";
import test from "node:test";
import { redraw } from "../app/lang/drawn";
import { lookUp } from "../app/lang/lookup";
import { lay, leaves } from "../app/lang/overlay";
import { patternOf, type Pair } from "../app/lang/pairs";

const pairs: readonly Pair[] = [
  ["right eye", "rechtes Auge"],
  ["yes", "ja"],
  ["not known", "nicht bekannt"],
  ["Chop vacuum", "Chop-Vakuum"],
  ["Stop ultrasound.", "Ultraschall stoppen."],
  ["Keep irrigation on.", "Irrigation anlassen."],
  ["{0} is missing.", "{0} fehlt."],
  ["The card of {0} is missing.", "Die Karte von {0} fehlt."],
  ["{0} before {1}", "vor {1}: {0}"],
  ["Is it {0}? Then {0} counts.", "Ist es {0}? Dann gilt {0}."],
  ["{0} holds a name. Take it away.", "{0} enthält einen Namen. Wegnehmen."],
  ["{0} units", "{0} Einheiten"],
  ["published {0}", "veröffentlicht {0}"],
  ["4 in 10,000 operations", "4 von 10,000 Operationen"],
];

test("an English text becomes the German of its pair, whole, by its places, or in its parts", () => {
  const { look } = lookUp(pairs);
  const cases: readonly (readonly [why: string, english: string, german: string])[] = [
    ["whole", "right eye", "rechtes Auge"],
    ["at the start of a sentence", "Right eye", "Rechtes Auge"],
    ["inside a sentence", "chop vacuum", "Chop-Vakuum"],
    ["with its spaces", " yes ", " ja "],
    ["with a space that does not break", "right\u00a0eye", "rechtes\u00a0Auge"],
    ["what stands in a place is looked up too", "right eye is missing.", "rechtes Auge fehlt."],
    ["the pair with the most fixed text", "The card of Anna is missing.", "Die Karte von Anna fehlt."],
    ["places in another order", "yes before right eye", "vor rechtes Auge: ja"],
    ["one place twice", "Is it yes? Then yes counts.", "Ist es ja? Dann gilt ja."],
    ["a pair of two sentences", "Title holds a name. Take it away.", "Title enthält einen Namen. Wegnehmen."],
    ["cut at the ends of sentences", "Stop ultrasound. Keep irrigation on.", "Ultraschall stoppen. Irrigation anlassen."],
    ["a place holds no end of a sentence", "Stop ultrasound. The tip is missing.", "Ultraschall stoppen. The tip fehlt."],
    ["cut at semicolons", "yes; not known", "ja; nicht bekannt"],
    ["label and value", "Chop vacuum: 400 mmHg", "Chop-Vakuum: 400 mmHg"],
    ["a change", "not known → right eye", "nicht bekannt → rechtes Auge"],
    ["a list of known words", "yes, not known", "ja, nicht bekannt"],
    ["in brackets", "right eye (not known)", "rechtes Auge (nicht bekannt)"],
    ["in quotation marks", "“not known”", "„nicht bekannt“"],
    ["with a colon after it", "Not known:", "Nicht bekannt:"],
    ["thousands of our own pairs stand apart", "4 in 10,000 operations", "4 von 10\u202f000 Operationen"],
    ["a list with words of a person stays", "yes, and a cold chamber", "yes, and a cold chamber"],
    ["a call of a person is not half turned", "Yes. Irrigation stays on.", "Yes. Irrigation stays on."],
    ["a figure in a place with few words beside it", "40 units", "40 Einheiten"],
    ["what somebody wrote in a place with few words beside it", "Keep all these units", "Keep all these units"],
    ["a short pair around a long text of somebody's", "published order of the year of the second meeting", "published order of the year of the second meeting"],
    ["a range", "published 3 to 7 mm", "veröffentlicht 3 to 7 mm"],
    ["what people wrote stays", "Softer today, 1,125 mL", "Softer today, 1,125 mL"],
    ["a text without letters stays", "0.5 → 1", "0.5 → 1"],
    ["nothing", "", ""],
  ];
  for (const [why, english, german] of cases) assert.equal(look(english), german, why);
});

test("what is German already comes back as it is", () => {
  const { look, know } = lookUp([...pairs, ["fall", "Sturz"], ["case", "Fall"]]);
  know("yes is missing.");
  know("yes");
  assert.equal(look("yes"), "ja", "an English word that a function handed through is none");
  assert.equal(look("yes is missing."), "yes is missing.");
  for (const [english] of pairs) assert.equal(look(look(english)), look(english));
  assert.equal(look("rechtes Auge"), "rechtes Auge");
});

test("a pattern knows a word that every text of it holds, and none that a place may lengthen", () => {
  assert.equal(patternOf(["{0} of {1}", ""]).word, "of");
  assert.equal(patternOf(["un{0}ing", ""]).word, undefined);
  assert.equal(patternOf(["{0}s kept", ""]).word, "kept");
});

test("words are laid over a catalogue in place, whoever holds a part of it", () => {
  const english = { a: "one", tabs: { b: "two" } as Record<string, string>, list: ["x", "y"], f: (n: number) => `${n} of`, id: (s: string) => s };
  const { tabs, list } = english;
  const told: string[] = [];
  lay(english, { a: "eins", tabs: { b: "zwei" }, list: ["u", "v"], f: (n: number) => `${n} von`, id: (s: string) => s }, (t) => void told.push(t));
  assert.deepEqual([english.a, tabs["b"], list], ["eins", "zwei", ["u", "v"]]);
  assert.equal(english.f(2), "2 von");
  assert.equal(english.id("word"), "word");
  assert.deepEqual(told, ["eins", "zwei", "u", "v", "2 von"], "what a function handed through is not taken for German");
  assert.deepEqual(leaves({ a: "x", b: { c: ["y"] } }), [["a", "x"], ["b.c.0", "y"]]);
});

test("texts and heard attributes are shown in the language; values, ids and what is not to be translated are not", () => {
  const show = (text: string) => `<${text}>`;
  const text = { type: null, props: "words" };
  redraw(text, show);
  assert.equal(text.props, "<words>");
  const input = { type: "input", props: { "aria-label": "a", title: "b", alt: "c", placeholder: "d", value: "e", id: "f", name: "g" } };
  redraw(input, show);
  assert.deepEqual(input.props, { "aria-label": "<a>", title: "<b>", alt: "<c>", placeholder: "<d>", value: "e", id: "f", name: "g" });
  for (const of of [{ type: "pre", props: { children: "{}" } }, { type: "td", props: { translate: false, children: ["x", 1] } }]) {
    redraw(of, show);
    for (const child of [of.props.children].flat() as unknown[]) assert.notEqual(typeof child, "string");
    assert.equal(String(of.props.children), of.type === "pre" ? "{}" : "x,1");
  }
});
