import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import test from "node:test";
import { importKey, signerOf, type Alg } from "../app/local/keys";
import { chainStart, keyId, signed, signedText } from "../app/local/sign";
import type { Edit } from "../app/sync/protocol";

// The vectors are made without this code and without the server's; both are held to them. Run from the top folder.
const folder = "testdata/signed";

interface Vector {
  about: string;
  alg: Alg;
  public: string; // hex of the raw key
  signed: string; // the text whose bytes are signed
  hash: string; // of those bytes: what the next edit of the device names
  edit: Edit;
  body: string; // of the edit, as it is sent: another program may write the same JSON otherwise
}

const vectors = readdirSync(folder).filter((f) => f.endsWith(".json")).map((f): Vector => {
  const text = readFileSync(`${folder}/${f}`, "utf8");
  return { ...(JSON.parse(text) as Vector), body: objectAfter('"body":', text) };
});

// The first object after a name, by its brackets; the vectors have none inside a text.
function objectAfter(name: string, text: string): string {
  const from = text.indexOf(name) + name.length;
  let depth = 0;
  for (let at = from; ; at++) {
    if (text[at] === "{") depth++;
    else if (text[at] === "}" && --depth === 0) return text.slice(from, at + 1);
  }
}

const fromBase64url = (text: string) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const fromHex = (hex: string) => Uint8Array.from(hex.match(/../g)!, (h) => parseInt(h, 16));
const utf8 = (text: string) => new TextEncoder().encode(text);
const how = { ed25519: { name: "Ed25519" }, p256: { name: "ECDSA", namedCurve: "P-256", hash: "SHA-256" } };

test("the bytes that are signed are those of the vectors, and so is the place of the next edit", async () => {
  assert.ok(vectors.length > 0, "there are vectors");
  for (const v of vectors) {
    assert.equal(await signedText(v.edit, v.body), v.signed, v.about);
    if (v.body !== JSON.stringify(v.edit.body)) continue; // not as a browser writes it
    const { sig: _, chain, key, checked, ...plain } = v.edit;
    const { next } = await signed(plain, chain!, { id: key!, checked: checked ?? "server", sign });
    assert.deepEqual(next, { n: chain!.n + 1, prev: v.hash }, v.about);
  }
});

test("the signatures of the vectors verify, with the key that the edit names", async () => {
  for (const v of vectors) {
    const key = await crypto.subtle.importKey("raw", fromHex(v.public), how[v.alg], false, ["verify"]);
    assert.equal(v.edit.key, await keyId(fromHex(v.public)), v.about);
    assert.ok(await crypto.subtle.verify(how[v.alg], key, fromBase64url(v.edit.sig!), utf8(v.signed)), v.about);
  }
});

const edit: Edit = {
  id: "1".repeat(32), kind: "card", doc: "anna-flip", parent: 14, author: "anna", device: "d".repeat(32),
  made: "2027-03-31T07:42:00Z", reason: "Softer today", body: { title: "Flip", note: "é → 0.50 <b>\u2028" },
};

const sign = async () => new Uint8Array(64).fill(7);

test("an edit takes the place that the chain gives it, and the next one names it", async () => {
  const first = await signed(edit, chainStart, { id: "a".repeat(32), checked: "server", sign });
  assert.deepEqual(first.edit, { ...edit, chain: { n: 1, prev: "0".repeat(64) }, key: "a".repeat(32), sig: "BwcH".repeat(21) + "Bw" });
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", utf8(await signedText(first.edit))));
  assert.deepEqual(first.next, { n: 2, prev: Array.from(hash, (b) => b.toString(16).padStart(2, "0")).join("") });
  const here = await signed(edit, first.next, { id: "a".repeat(32), checked: "here", sign });
  assert.equal(here.edit.checked, "here");
});

test("whatever an edit says is signed: another value anywhere gives other bytes", async () => {
  const whole: Edit = {
    ...edit, after: "2".repeat(32), decides: ["3".repeat(32)], takes: ["4".repeat(32)], declines: [{ proposal: "5".repeat(32), reason: "no" }],
    chain: { n: 3, prev: "6".repeat(64) }, key: "7".repeat(32), checked: "here",
  };
  const other: Partial<Edit>[] = [
    { id: "9".repeat(32) }, { kind: "case" }, { doc: "anna-chop" }, { parent: 15 }, { after: "9".repeat(32) }, { author: "ben" }, { device: "9".repeat(32) },
    { made: "2027-03-31T07:42:01Z" }, { reason: "Softer" }, { body: { ...(edit.body as object), title: "Chop" } }, { body: { note: "é → 0.50 <b>\u2028", title: "Flip" } },
    { decides: ["9".repeat(32)] }, { takes: [] }, { declines: [{ proposal: "9".repeat(32), reason: "no" }] }, { declines: [{ proposal: "5".repeat(32), reason: "yes" }] },
    { chain: { n: 4, prev: "6".repeat(64) } }, { chain: { n: 3, prev: "9".repeat(64) } }, { key: "9".repeat(32) },
  ];
  const said = await signedText(whole);
  for (const change of other) assert.notEqual(await signedText({ ...whole, ...change }), said, JSON.stringify(change));
  const { checked: _, ...atTheServer } = whole;
  assert.notEqual(await signedText(atTheServer), said, "who checked the PIN");
});

test("an edit that was offered anew is signed as it was", async () => {
  const before: Edit = { ...edit, after: "2".repeat(32), takes: ["4".repeat(32)], declines: [{ proposal: "5".repeat(32), reason: "no" }], chain: chainStart, key: "7".repeat(32) };
  const anew: Edit = {
    ...before, id: "a".repeat(32), parent: 2, after: "b".repeat(32), takes: ["c".repeat(32)], declines: [{ proposal: "e".repeat(32), reason: "no" }],
    was: { id: before.id, parent: before.parent, after: before.after!, takes: before.takes!, declines: ["5".repeat(32)] },
  };
  assert.equal(await signedText(anew), await signedText(before));
});

// RFC 8032, section 7.1, test 2: the primitive that the platform gives.
test("Ed25519 signs as its standard says", async () => {
  const seed = "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb";
  const want = "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00";
  const pkcs8 = fromHex(`302e020100300506032b657004220420${seed}`); // RFC 8410, section 7
  const sig = await signerOf("ed25519", await importKey("ed25519", pkcs8))(new Uint8Array([0x72]));
  assert.deepEqual(sig, fromHex(want));
});
