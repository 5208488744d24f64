import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import test from "node:test";
import { catalogues } from "../app/lang/de/catalogues";
import { fixed } from "../app/lang/de/index";
import { told as behind } from "../app/lang/de/behind";
import { told as first } from "../app/lang/de/told";
import { firstLanguage } from "../app/lang/language";
import { lookUp } from "../app/lang/lookup";
import { leaves } from "../app/lang/overlay";
import { patternOf } from "../app/lang/pairs";

const told = [...first, ...behind];

/** Words that are the same in both languages, names and signs. */
const same = new Set([
  "Sideport", "Person", "Server", "Name", "Version", "Code", "Superior", "Inferior", "Temporal", "Nasal", "Language / Sprache", "PIN", "Passkeys",
  "A4", "A5", "Irrigation", "Burst", "(C)", "(S)", "Text",
]);

/** Functions of names and figures alone. */
const wordless = new Set(["text.fileName", "textCase.aloud.minutes", "textPaper.asksAnswers"]);

const problems = (list: string[]) => assert.equal(list.length, 0, `\n${list.join("\n")}\n`);

test("every text of every catalogue has its German, and it is another text unless it is listed", () => {
  const wrong: string[] = [];
  for (const { name, english, german } of catalogues) {
    const words = new Map(leaves(german));
    const own = new Map(leaves(english));
    for (const [address, text] of own) {
      const word = words.get(address);
      if (typeof word !== typeof text) wrong.push(`${name}.${address}: ${String(text)} has no German`);
      if (typeof text !== "string" || !/\p{L}/u.test(text) || text.startsWith("/") || address.endsWith(".page")) continue;
      if (word === text && !same.has(text)) wrong.push(`${name}.${address}: ${text} is the same in both`);
    }
    for (const address of words.keys()) if (!own.has(address)) wrong.push(`${name}.${address}: the English has none`);
  }
  problems(wrong);
});

test("a function of a catalogue is not the English one", () => {
  const wrong = catalogues.flatMap(({ name, english, german }) => {
    const words = new Map(leaves(german));
    return leaves(english).filter(([at, f]) => typeof f === "function" && /"[^"]*[a-z]{3}|`[^`]*[a-z]{3}/.test(String(f)) && String(f) === String(words.get(at)))
      .map(([at]) => `${name}.${at}`).filter((at) => !wordless.has(at));
  });
  problems(wrong);
});

test("the figures and places of a text are those of its German", () => {
  const figures = (text: string) => (text.replace(/\{\d+\}/g, "").match(/\d+(?:[.,]\d+)*/g) ?? []).sort().join(" ");
  const places = (text: string) => [...new Set(text.match(/\{\d+\}/g) ?? [])].sort().join(" ");
  problems([...told, ...fixed].flatMap(([english, german]) => [
    ...(figures(english) === figures(german) ? [] : [`figures: ${english} | ${german}`]),
    ...(places(english) === places(german) ? [] : [`places: ${english} | ${german}`]),
  ]));
});

test("no pair is of places and signs alone, and no text has two Germans", () => {
  const germans = new Map<string, string>();
  problems(told.flatMap(([english, german]) => {
    const before = germans.get(english);
    germans.set(english, german);
    return [
      ...(patternOf([english, german]).fixed === 0 && /\{\d+\}/.test(english) ? [`nothing fixed: ${english}`] : []),
      ...(before !== undefined && before !== german ? [`two: ${english} | ${before} | ${german}`] : []),
    ];
  }));
});

test("no German is taken for an English text and turned again", () => {
  const { look } = lookUp(told);
  problems([...told, ...fixed].flatMap(([english, german]) => {
    if (/\{\d+\}/.test(german)) return [];
    const again = look(german);
    return again === german || english === german || told.some(([e, g]) => e === german && g === again && e === english) ? [] : [`${english} | ${german} | ${again}`];
  }));
});

test("the first language of the browser decides, and German alone besides English is there", () => {
  for (const [wanted, own] of [[["de-CH", "en"], "de"], [["de"], "de"], [["en-GB", "de"], "en"], [["fr"], "en"], [["den"], "en"], [[], "en"]] as const) assert.equal(firstLanguage(wanted), own);
});

// The words are laid over the catalogues in place after the modules of the shell were read: what such a module had copied would stay English.
test("no module copies a text of a catalogue when it is read", () => {
  assert.deepEqual(copies("const back = { href, label: text.cardsTitle };"), ["text.cardsTitle"]);
  assert.deepEqual(["const words = textCase.sheet;", "const back = () => text.cardsTitle;", "  const inside = text.cardsTitle;"].flatMap(copies), []);
  problems(sources("web/app").flatMap((path) => readFileSync(path, "utf8").split("\n").flatMap(copies).map((ref) => `${path}: ${ref}`)));
});

/** The texts that a line outside every function copies. */
function copies(line: string): string[] {
  const value = /^(?:export )?const \w+(?:: [^=]+)? = (.*)$/.exec(line)?.[1] ?? "";
  if (/^(?:async )?(?:\([^)]*\)|\w+)(?:: \S+)? =>/.test(value)) return [];
  return [...value.matchAll(/\b(text(?:[A-Z]\w*)?)\.([\w.]+)/g)].filter(([, root, at = ""]) => {
    const of: unknown = catalogues.find((c) => c.name === root)?.english;
    return typeof at.split(".").reduce((o, key) => (o as Record<string, unknown> | undefined)?.[key], of) === "string";
  }).map(([ref]) => ref);
}

function sources(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = `${folder}/${name}`;
    if (name === "lang" || name === "generated") return [];
    if (/\.tsx?$/.test(name)) return [path];
    return name.includes(".") ? [] : sources(path);
  });
}
