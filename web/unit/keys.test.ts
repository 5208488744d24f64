import assert from "node:assert/strict";
import test from "node:test";
import { importKey, newKey, openByPin, openBySecret, rounds, sealedByPin, signerOf, storedKey } from "../app/local/keys";
import { keyId } from "../app/local/sign";

const quick = 1_000; // rounds, so that the tests do not wait; what is released is held below

async function made() {
  const key = await newKey();
  return { ...key, stored: await storedKey({ person: "anna", device: "d", ...key }, "482913", "told by the server", "2027-03-31T08:00:00Z", quick) };
}

test("a key opens by its PIN and by the server's secret, to the same bytes, and by nothing else", async () => {
  const { secret, stored } = await made();
  assert.deepEqual(await openByPin(stored, "482913"), secret);
  assert.deepEqual(await openBySecret(stored, "told by the server"), secret);
  for (const wrong of ["482914", "", "4829130", " 482913"]) assert.equal(await openByPin(stored, wrong), null, wrong);
  assert.equal(await openBySecret(stored, "told by another"), null);
  assert.equal(await openByPin({ ...stored, person: "ben" }, "482913"), null, "nobody's key opens under another name");
});

test("under a PIN that was issued anew the same key opens", async () => {
  const { secret, stored } = await made();
  const again = { ...stored, byPin: await sealedByPin("700611", secret, "anna", quick) };
  assert.deepEqual(await openByPin(again, "700611"), secret);
  assert.equal(await openByPin(again, "482913"), null, "the PIN before it opens nothing");
  assert.deepEqual(await openBySecret(again, "told by the server"), secret);
});

test("nothing that is kept holds the key or the PIN, and no two are sealed alike", async () => {
  const { secret, stored } = await made();
  const other = await storedKey({ person: "anna", device: "d", alg: stored.alg, public: new Uint8Array(32), secret }, "482913", "told by the server", "then", quick);
  const kept = JSON.stringify(stored, (_, v) => (v instanceof Uint8Array ? [...v].join() : v));
  assert.ok(!kept.includes([...secret].slice(-32).join()) && !kept.includes("482913") && !kept.includes("told by"));
  assert.notEqual([...stored.byPin!.salt].join(), [...other.byPin!.salt].join());
  assert.notEqual([...stored.bySecret.iv].join(), [...other.bySecret.iv].join());
});

test("the opened key signs what its public half verifies, and gives its bytes to nobody", async () => {
  const { alg, public: raw, secret, stored } = await made();
  assert.equal(stored.id, await keyId(raw));
  const key = await importKey(alg, secret);
  assert.equal(key.extractable, false);
  const bytes = new TextEncoder().encode("sideport edit 1");
  const how = alg === "ed25519" ? { name: "Ed25519" } : { name: "ECDSA", namedCurve: "P-256", hash: "SHA-256" };
  const check = await crypto.subtle.importKey("raw", raw as BufferSource, how, false, ["verify"]);
  const sig = await signerOf(alg, key)(bytes);
  assert.equal(sig.length, 64);
  assert.ok(await crypto.subtle.verify(how, check, sig as BufferSource, bytes));
});

test("a browser without Ed25519 makes a P-256 key", async () => {
  const { generateKey } = crypto.subtle;
  const without: typeof generateKey = ((how: { name: string }, ...rest: [boolean, KeyUsage[]]) =>
    how.name === "Ed25519" ? Promise.reject(new DOMException("no such algorithm", "NotSupportedError")) : generateKey.call(crypto.subtle, how, ...rest)) as never;
  Object.defineProperty(crypto.subtle, "generateKey", { value: without, configurable: true });
  try {
    const key = await newKey();
    assert.equal(key.alg, "p256");
    assert.equal(key.public.length, 65);
    assert.equal((await signerOf("p256", await importKey("p256", key.secret))(new Uint8Array([1]))).length, 64);
  } finally {
    Reflect.deleteProperty(crypto.subtle, "generateKey");
  }
});

// OWASP Password Storage Cheat Sheet: PBKDF2-HMAC-SHA256, 600,000 or more.
test("guessing a PIN costs the rounds that are advised", () => {
  assert.ok(rounds >= 600_000);
});
