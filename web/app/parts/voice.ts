// A voice of the device itself, for whoever wants a line spoken. Voices that
// send the words to somebody's computer are none: nothing of a case leaves the room.

import { effect, signal, type ReadonlySignal } from "@preact/signals";
import { tongue } from "../lang/said";

const found = signal<SpeechSynthesisVoice | null>(null);

/** The voice there is, null without one. */
export const voice: ReadonlySignal<SpeechSynthesisVoice | null> = found;

const speech = "speechSynthesis" in globalThis ? globalThis.speechSynthesis : null;

function look(): void {
  const lang = tongue.value.locale.slice(0, 2);
  const own = speech?.getVoices().filter((v) => v.localService && v.lang.slice(0, 2).toLowerCase() === lang) ?? [];
  found.value = own.find((v) => v.default) ?? own[0] ?? null;
}

effect(look);
// Most browsers fill the list a moment after it was first asked for.
speech?.addEventListener?.("voiceschanged", look);

/** Speaks the words, and nothing else that was still being said. Does nothing without a local voice. */
export function speak(words: string): void {
  if (!speech || !found.value) return;
  const says = new SpeechSynthesisUtterance(words);
  says.voice = found.value;
  says.lang = found.value.lang;
  speech.cancel();
  speech.speak(says);
}

export function hush(): void {
  speech?.cancel();
}
