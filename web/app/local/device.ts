// What belongs to this device: its enrolment, the person who uses it, the look, the language, and whether the browser promised to keep the storage.

import { batch } from "@preact/signals";
import { asLanguage, type Language } from "../lang/language";
import { demo, enrolled, language, look, me, persisted } from "../signals";
import { textDevice } from "../text-device";
import { hint } from "./channel";
import { read, write } from "./db";
import { readEnrolled } from "./enrolled";
import { NotKept } from "./notkept";
import { readOpen } from "./openkey";

/** Reads what the device remembers into the page. */
export async function readDevice(): Promise<void> {
  const [person, theme, tongue, invented] = await read(["meta"], (tx) => {
    const meta = tx.objectStore("meta");
    return Promise.all([meta.get("me"), meta.get("look"), meta.get("language"), meta.get("demo")]);
  });
  batch(() => {
    me.value = (person as string | undefined) ?? null;
    look.value = theme === "bright" ? "bright" : "dim";
    language.value = asLanguage(tongue);
    demo.value = invented === true;
  });
  await readEnrolled();
  await readOpen();
}

/** The id that every edit of this device carries: the server gave it. */
export function deviceId(): string {
  const device = enrolled.peek();
  if (!device) throw new NotKept(textDevice.notEnrolled);
  return device.id;
}

export async function setMe(id: string | null): Promise<void> {
  await remember("me", id);
  me.value = id;
  hint("device");
}

/** The look changes at once; should it not be remembered, the next start is dim again and nothing is lost. */
export function setLook(l: "dim" | "bright"): void {
  look.value = l;
  remember("look", l).then(
    () => hint("device"),
    () => {},
  );
}

/** The page begins again in the language, once it is remembered. What is being written on a card or a sheet is on the device with every keystroke; where a form is not, the choice stands above it. */
export async function setLanguage(l: Language): Promise<void> {
  await remember("language", l);
  location.reload();
}

/** Remembers that the server holds an invented unit, so that the page says so offline as well. */
export async function setDemo(on: boolean): Promise<void> {
  if (on === demo.value) return;
  await remember("demo", on);
  demo.value = on;
}

async function remember(key: string, value: unknown): Promise<void> {
  await write(["meta"], (tx) => tx.objectStore("meta").put(value, key));
}

let asked = false;

/** Asks the browser, once, to spare this storage when space runs short. Engines without the promise leave it unknown. */
export async function askToPersist(): Promise<void> {
  if (asked || persisted.value === true) return;
  asked = true;
  persisted.value = (await navigator.storage?.persist?.()) ?? null;
}

/** Reads the promise given earlier, without asking. */
export async function readPersisted(): Promise<void> {
  persisted.value = (await navigator.storage?.persisted?.()) ?? null;
}
