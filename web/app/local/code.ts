// Codes that people copy from one screen to another by eye: eight characters of
// Crockford's base 32, shown as XXXX-XXXX. Its rule for readers is kept: small letters
// count as capital ones, I and L as 1, O as 0, and hyphens as nothing
// (Douglas Crockford, "Base 32", crockford.com/base32.html).

const alphabet = /[^0-9A-HJKMNP-TV-Z]/;
const size = 8;

/** What was typed, as a code is shown. Signs that no code has stay, so that whoever typed them sees them. */
export function shownCode(typed: string): string {
  const signs = typed.toUpperCase().replace(/[\s\u2010-\u2015-]/g, "").replace(/[IL]/g, "1").replace(/O/g, "0").slice(0, size);
  return signs.length > size / 2 ? `${signs.slice(0, size / 2)}-${signs.slice(size / 2)}` : signs;
}

/** The first sign in it that no code has, or null. */
export function strayIn(shown: string): string | null {
  return alphabet.exec(shown.replace("-", ""))?.[0] ?? null;
}

/** The code in the fragment of an address ("#4K7M-92XD"), as it is shown; empty when there is none. */
export function codeIn(fragment: string): string {
  const shown = shownCode(fragment.slice(1));
  return fragment.length <= size + 2 && isWhole(shown) ? shown : ""; // no more than "#" and a hyphen beside it
}

export function isWhole(shown: string): boolean {
  return shown.length === size + 1 && strayIn(shown) === null;
}
