/** 16 random bytes as 32 hex digits: the id of an edit, a device or a case. Says nothing about time, place or patient. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
