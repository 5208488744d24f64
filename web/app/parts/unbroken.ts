/** A text of the core in which a value keeps its unit, a change both its sides and an eye its side at the end of a line. */
export function unbroken(text: string): string {
  return text.replace(/(\d) (?=[%a-zA-Z])/g, "$1\u00a0").replace(/(\d) → (?=\d)/g, "$1\u00a0→\u00a0").replace(/\b(right|left) eye/gi, "$1\u00a0eye");
}
