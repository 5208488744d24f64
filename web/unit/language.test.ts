import assert from "node:assert/strict";
import test from "node:test";
import { inTime } from "../app/intime";
import { asLanguage, languageInPlace, languageMissing, ownLanguage, putLanguage, type Language } from "../app/lang/language";
import { aloud, said, speak, tongue } from "../app/lang/said";
import { enrolled, language, storage } from "../app/signals";
import { kindNamed } from "../app/views/edit/kindnamed";

const browser = (...languages: string[]) => Object.defineProperty(globalThis, "navigator", { value: { languages }, configurable: true });

test("what was stored is a language only where there is one of that name", () => {
  for (const [stored, want] of [["de", "de"], ["en", "en"], ["fr", null], ["toString", null], ["", null], [undefined, null], [1, null]] as const) assert.equal(asLanguage(stored), want);
});

test("a device at work stays in English until somebody chooses", () => {
  const letIn = { id: "d", name: "Theatre 1", shared: true };
  const cases: readonly (readonly [why: string, chosen: Language | null, at: typeof letIn | null, state: "ok" | "blocked", want: Language])[] = [
    ["not let in: the browser decides", null, null, "ok", "de"],
    ["let in, nobody chose", null, letIn, "ok", "en"],
    ["let in, chosen", "de", letIn, "ok", "de"],
    ["not let in, chosen", "en", null, "ok", "en"],
    ["its storage cannot be read", null, null, "blocked", "en"],
  ];
  browser("de-AT", "en");
  for (const [why, chosen, at, state, want] of cases) {
    language.value = chosen;
    enrolled.value = at as typeof enrolled.value;
    storage.value = { state, text: null };
    assert.equal(ownLanguage(), want, why);
  }
});

test("what comes too late is not put in place", async () => {
  language.value = "de";
  let put = 0;
  let come: (german: { put: () => void }) => void = () => undefined;
  await putLanguage(() => new Promise((resolve) => { come = resolve; }), 1);
  assert.ok(languageMissing.value);
  come({ put: () => { put++; } });
  await new Promise((resolve) => setTimeout(resolve, 1));
  assert.equal(put, 0);
  assert.equal(languageInPlace(), "en");
});

test("what is there in time is given, and its error too", async () => {
  assert.equal(await inTime(Promise.resolve("read"), 60_000), "read");
  await assert.rejects(inTime(Promise.reject(new Error("no network")), 60_000), /no network/);
  await assert.rejects(inTime(new Promise(() => undefined), 1), /not there after 1 ms/);
});

test("a phase called like a standard one in either language is that phase", () => {
  const words = new Map([["cortex", "Rinde"], ["sculpt", "Furchen"], ["viscoelastic removal", "Viskoelastikum entfernen"]]);
  const look = (english: string) => words.get(english) ?? english;
  speak(look, (english) => look(english).replace(".", ","), { locale: "de-DE", decimal: "," }, Promise.resolve());
  for (const [name, kind] of [["Rinde", "cortex"], ["rinde", "cortex"], ["Cortex", "cortex"], ["Furchen ", "sculpt"], ["viskoelastikum entfernen", "viscoelastic removal"], ["chop", "chop"]] as const) assert.deepEqual(kindNamed(name), { kind }, name);
  for (const name of ["Rinde zwei", "", "toString"]) assert.deepEqual(kindNamed(name), {}, name);
  assert.deepEqual([said("cortex"), aloud("0.5"), said("0.5"), tongue.value.decimal], ["Rinde", "0,5", "0.5", ","], "a voice says what is drawn");
});
