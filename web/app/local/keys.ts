// A person's signing key on this device: made here, kept as bytes that only a
// PIN or the server's secret opens. Browsers lose stored key objects; bytes stay.

import { base64url, keyId, type Signer } from "./sign";

export type Alg = "ed25519" | "p256";

/** Bytes that are encrypted by AES-GCM. */
interface Sealed {
  iv: Uint8Array;
  bytes: Uint8Array;
}

/** What the device keeps of a person's key. */
export interface StoredKey {
  person: string;
  /** The device it is registered for; a device that was enrolled again makes another one. */
  device: string;
  id: string;
  alg: Alg;
  public: string; // base64url
  /** Opened by the PIN, also with no network; absent while the person signs in by other means. */
  byPin?: Sealed & { salt: Uint8Array; rounds: number };
  /** Opened by what the server tells at a sign-in, so that a PIN issued anew opens the same key. */
  bySecret: Sealed;
  /** When the server last checked who this is. */
  checkedAt: string;
  /** Wrong PINs in a row with no server; more than a few and the person is locked here until the server was reached. */
  tries: number;
  locked: boolean;
}

// OWASP's figure for PBKDF2 with SHA-256 (Password Storage Cheat Sheet). It slows guessing, and no more: a PIN is short.
export const rounds = 600_000;

const algorithms = { ed25519: { name: "Ed25519" }, p256: { name: "ECDSA", namedCurve: "P-256", hash: "SHA-256" } } as const;

/** Makes a key pair: Ed25519, or P-256 where the browser has no Ed25519. */
export async function newKey(): Promise<{ alg: Alg; public: Uint8Array; secret: Uint8Array }> {
  for (const alg of ["ed25519", "p256"] as const) {
    const pair = await crypto.subtle.generateKey(algorithms[alg], true, ["sign", "verify"]).catch(() => null) as CryptoKeyPair | null;
    if (pair) return { alg, public: await exported("raw", pair.publicKey), secret: await exported("pkcs8", pair.privateKey) };
  }
  throw new Error("this browser makes no signing keys");
}

async function exported(format: "raw" | "pkcs8", key: CryptoKey): Promise<Uint8Array> {
  return new Uint8Array(await crypto.subtle.exportKey(format, key));
}

/** The private key as the browser holds it: it signs and gives its bytes to nobody. */
export function importKey(alg: Alg, secret: Uint8Array): Promise<CryptoKey> {
  return crypto.subtle.importKey("pkcs8", secret as BufferSource, algorithms[alg], false, ["sign"]);
}

export function signerOf(alg: Alg, key: CryptoKey): Signer {
  return async (bytes) => new Uint8Array(await crypto.subtle.sign(algorithms[alg], key, bytes as BufferSource));
}

/** The key as it is kept, opened by the secret and, where there is one, by the PIN. */
export async function storedKey(
  of: { person: string; device: string; alg: Alg; public: Uint8Array; secret: Uint8Array },
  pin: string | null, secret: string, at: string, times = rounds,
): Promise<StoredKey> {
  const { person, device, alg } = of;
  return {
    person, device, alg,
    id: await keyId(of.public),
    public: base64url(of.public),
    ...(pin !== null && { byPin: await sealedByPin(pin, of.secret, person, times) }),
    bySecret: await seal(await fromSecret(secret), of.secret, person),
    checkedAt: at, tries: 0, locked: false,
  };
}

export async function sealedByPin(pin: string, secret: Uint8Array, person: string, times = rounds): Promise<NonNullable<StoredKey["byPin"]>> {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  return { salt, rounds: times, ...(await seal(await fromPin(pin, salt, times), secret, person)) };
}

/** The private bytes, or null where the PIN is another one. */
export async function openByPin(k: StoredKey, pin: string): Promise<Uint8Array | null> {
  return k.byPin ? unseal(await fromPin(pin, k.byPin.salt, k.byPin.rounds), k.byPin, k.person) : null;
}

/** The private bytes, or null where the server's secret is another one. */
export async function openBySecret(k: StoredKey, secret: string): Promise<Uint8Array | null> {
  return unseal(await fromSecret(secret), k.bySecret, k.person);
}

async function fromPin(pin: string, salt: Uint8Array, times: number): Promise<CryptoKey> {
  const given = await crypto.subtle.importKey("raw", utf8(pin), "PBKDF2", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt: salt as BufferSource, iterations: times }, given, aes, false, ["encrypt", "decrypt"]);
}

async function fromSecret(secret: string): Promise<CryptoKey> {
  const given = await crypto.subtle.importKey("raw", utf8(secret), "HKDF", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "HKDF", hash: "SHA-256", salt: new Uint8Array(), info: utf8("sideport key 1") }, given, aes, false, ["encrypt", "decrypt"]);
}

const aes = { name: "AES-GCM", length: 256 };

// The person's id is sealed with the bytes, so that nobody's key opens under another name.
async function seal(key: CryptoKey, bytes: Uint8Array, person: string): Promise<Sealed> {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  return { iv, bytes: new Uint8Array(await crypto.subtle.encrypt({ name: "AES-GCM", iv, additionalData: utf8(person) }, key, bytes as BufferSource)) };
}

async function unseal(key: CryptoKey, s: Sealed, person: string): Promise<Uint8Array | null> {
  const how = { name: "AES-GCM", iv: s.iv as BufferSource, additionalData: utf8(person) };
  return crypto.subtle.decrypt(how, key, s.bytes as BufferSource).then((b) => new Uint8Array(b), () => null);
}

function utf8(text: string): BufferSource {
  return new TextEncoder().encode(text);
}
