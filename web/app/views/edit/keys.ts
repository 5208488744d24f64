// Keys of new elements. The core judges them (cards.ValidKey); here they only have to be valid and new.

const longest = 50; // leaves room for a number at the end within the 60 letters of a key

/** A key made of the name that is not among the taken ones. It stays when the name changes later. */
export function newKey(name: string, taken: readonly string[]): string {
  const slug = name.toLowerCase().replace(/['’]/g, "").replace(/[^a-z0-9]+/g, "-").slice(0, longest).replace(/^-+|-+$/g, "") || "new";
  if (!taken.includes(slug)) return slug;
  let n = 2;
  while (taken.includes(`${slug}-${n}`)) n++;
  return `${slug}-${n}`;
}
