// What a person's key signs of an edit. The twin is server/people/signed.go;
// testdata/signed holds both to the same bytes. Pure, but for the platform's hash.

import type { Decline, Edit, Was } from "../sync/protocol";

/** The place of an edit in the chain of everything its device signed. */
export interface Chain {
  n: number;
  prev: string;
}

/** What comes before the first edit of a device. */
export const chainStart: Chain = { n: 1, prev: "0".repeat(64) };

/** Signs bytes with a person's private key. */
export type Signer = (bytes: Uint8Array) => Promise<Uint8Array>;

/** The text whose UTF-8 bytes are signed. An edit that was offered anew is judged by what it said when it was signed. body is its JSON as it is sent. */
export async function signedText(e: Edit, body = JSON.stringify(e.body)): Promise<string> {
  const said = e.was ?? asSaid(e);
  const lines = [
    "sideport edit 1",
    said.id,
    await hexHash(e.kind),
    await hexHash(e.doc),
    String(said.parent),
    said.after ?? none,
    await hexHash(e.author),
    e.device,
    await hexHash(e.made),
    await hexHash(e.reason),
    await hexHash(body),
    listed(e.decides),
    listed(said.takes),
    await declined(e.declines, said.declines),
    `${e.chain!.n} ${e.chain!.prev}`,
    e.key!,
    e.checked ?? none,
  ];
  return lines.join("\n");
}

const none = "-";

function listed(ids: readonly string[] | undefined): string {
  return ids?.length ? ids.join(",") : none;
}

async function declined(declines: readonly Decline[] | undefined, named: readonly string[] | undefined): Promise<string> {
  return listed(await Promise.all((declines ?? []).map(async (d, i) => `${named?.[i] ?? d.proposal}:${await hexHash(d.reason)}`)));
}

/** What an edit says now of everything that a restore can change. */
export function asSaid(e: Pick<Edit, "id" | "parent" | "after" | "takes" | "declines">): Was {
  return {
    id: e.id,
    parent: e.parent,
    ...(e.after !== undefined && { after: e.after }),
    ...(e.takes?.length && { takes: e.takes }),
    ...(e.declines?.length && { declines: e.declines.map((d) => d.proposal) }),
  };
}

/** A key that signs, as long as the page keeps it. */
export interface OpenKey {
  id: string;
  /** Who looked at the PIN. */
  checked: "server" | "here";
  sign: Signer;
}

/** The edit as it is sent, with its signature, and the place of the device's next one. */
export async function signed(edit: Edit, chain: Chain, { id, checked, sign }: OpenKey): Promise<{ edit: Edit; next: Chain }> {
  const whole: Edit = { ...edit, chain, key: id, ...(checked === "here" && { checked }) };
  const bytes = new TextEncoder().encode(await signedText(whole));
  return {
    edit: { ...whole, sig: base64url(await sign(bytes)) },
    next: { n: chain.n + 1, prev: hex(await hash(bytes)) },
  };
}

async function hash(bytes: Uint8Array): Promise<Uint8Array> {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes as BufferSource));
}

async function hexHash(text: string): Promise<string> {
  return hex(await hash(new TextEncoder().encode(text)));
}

/** What names a public key: the first half of its hash. */
export async function keyId(publicKey: Uint8Array): Promise<string> {
  return hex(await hash(publicKey)).slice(0, 32);
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

/** base64 for addresses, without padding (RFC 4648, section 5). */
export function base64url(bytes: Uint8Array): string {
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}
