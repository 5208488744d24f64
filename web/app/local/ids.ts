const mask = (1n << 128n) - 1n;

/** 32 hex digits that a text alone decides: the hash FNV-1a of 128 bits (RFC 9923) over its UTF-8 bytes. */
export function idOf(text: string): string {
  let hash = 0x6c62272e07bb014262b821756295c58dn;
  for (const byte of new TextEncoder().encode(text)) hash = ((hash ^ BigInt(byte)) * 0x1000000000000000000013bn) & mask;
  return hash.toString(16).padStart(32, "0");
}

/** 16 random bytes as 32 hex digits: the id of an edit, a device or a case. Says nothing about time, place or patient. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
