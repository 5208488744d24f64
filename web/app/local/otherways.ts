// Signing in by something else than the unit's PIN: a passkey of this phone, or
// the hospital's single sign-on, whose page the browser leaves for and comes
// back from. Both need the server; without it the PIN opens the key.

import { signal } from "@preact/signals";
import { ways } from "../signals";
import { textDevice } from "../text-device";
import { post } from "../sync/request";
import { signInElsewhere, type NotIn } from "./unlock";

interface Ceremony {
  attempt: string;
  ask: any;
}

const at = "/api/v1";
const begun = (v: Partial<Ceremony> | null) => typeof v?.attempt === "string" && typeof v.ask === "object";

/** Whether a passkey can be used: the server takes them, the browser knows how, and the address is a name. */
export function passkeysHere(): boolean {
  const named = !/^[0-9.]+$|^\[/.test(location.hostname);
  return ways.value.passkeys && named && "PublicKeyCredential" in window && "parseRequestOptionsFromJSON" in PublicKeyCredential;
}

/** Signs a person in by a passkey. Resolves with null when the key is open, else with the reason. */
export async function passkeySignIn(person: string): Promise<NotIn | null> {
  const asked = await ceremony("/passkeys/ask", { person });
  if ("text" in asked) return asked;
  const answer = await performed(() => navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(asked.ask) }));
  if (!answer) return { text: textDevice.passkeyStopped };
  return signInElsewhere(`${at}/passkeys/sign-in`, { attempt: asked.attempt, person, answer });
}

/** Introduces this phone as a passkey of whoever is signed in. Resolves with null when it is kept, else with the reason. */
export async function addPasskey(): Promise<NotIn | null> {
  const asked = await ceremony("/passkeys/begin", {});
  if ("text" in asked) return asked;
  const answer = await performed(() => navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(asked.ask) }));
  if (!answer) return { text: textDevice.passkeyStopped };
  return refusalOf(await post(`${at}/passkeys`, { attempt: asked.attempt, answer }));
}

/** Leaves for the page of the single sign-on. Resolves only when that cannot be, with the reason. */
export async function goToSignOn(link: boolean): Promise<NotIn> {
  const reply = await post<{ address: string }>(`${at}/sso`, { link }, (v) => typeof v?.address === "string" && /^https?:/.test(v.address));
  if (reply.kind !== "answer") return refusalOf(reply)!;
  location.assign(reply.value.address);
  return new Promise(() => {}); // the page is on its way out
}

/** What came of the single sign-on that the browser has come back from; null: it comes from nowhere. */
export const cameBack = signal<{ done: boolean; text: string } | null>(null);

/** Takes up a single sign-on that ends with this load of the page. */
export async function comeBack(): Promise<void> {
  const came = new URLSearchParams(location.search).get("came");
  if (came === null || !(came in textDevice.came)) return;
  history.replaceState(history.state, "", location.pathname);
  const text = textDevice.came[came as keyof typeof textDevice.came];
  if (came !== "signed-in") cameBack.value = { done: came === "linked", text };
  else {
    const refused = await signInElsewhere(`${at}/sso/opened`, {});
    cameBack.value = { done: !refused, text: refused?.text ?? text };
  }
}

async function ceremony(path: string, body: unknown): Promise<Ceremony | NotIn> {
  const reply = await post<Ceremony>(at + path, body, begun);
  return reply.kind === "answer" ? reply.value : refusalOf(reply)!;
}

/** What a sign-in mends: one that is too old, and one that the server has ended. */
const signInFirst = new Set(["sign in again", "not signed in"]);

function refusalOf(reply: Awaited<ReturnType<typeof post>>): NotIn | null {
  switch (reply.kind) {
    case "answer":
      return null;
    case "refused":
      return { text: reply.refusal.text, ...(signInFirst.has(reply.refusal.code) && { again: true }) };
    case "wait":
      return { text: reply.text, wait: reply.seconds };
    case "lost":
      return { text: textDevice.notReached };
  }
}

// What the phone answers; null when its owner said no, or it has nothing to answer with.
async function performed(ask: () => Promise<Credential | null>): Promise<unknown> {
  try {
    return ((await ask()) as PublicKeyCredential | null)?.toJSON() ?? null;
  } catch (error) {
    if (error instanceof DOMException) return null;
    throw error;
  }
}
