/** Every word of the screens that set two cards, or two revisions of one, side by side. */

const plural = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

export const textCompare = {
  title: "Compare",
  choose: (card: string) => `Compare: ${card}`,
  chooseLead: "Choose the other one. Nothing is changed by comparing.",
  ownRevisions: "With an older revision of this card",
  noRevisions: "There is no older revision.",
  otherCards: "With another card",
  noCards: "There is no other card on this device.",
  sameTechnique: "same technique",
  another: "Compare with another",
  swap: "Change sides",
  toNow: "Compare with now",
  withNow: (rev: number) => `Compare with now: revision ${rev}`,

  here: "Here",
  there: "There",
  whose: (owner: string, technique: string) => `${owner}, ${technique}`,
  which: "Revision",
  now: (rev: number) => (rev > 0 ? `revision ${rev}, what holds now` : "not on the server yet, what holds now"),
  waits: "with the edits that wait on this device",
  older: (rev: number, when: string) => `revision ${rev}, ${when}`,
  startOwn: "Start an own card from this",
  missing: "The other card is not on this device.",
  noView: "This revision cannot be shown here.",

  counts: (differ: number, same: number) => `${plural(differ, "difference", "differences")}, ${same} the same`,
  alike: "Nothing differs.",
  same: (n: number) => `${n} the same`,
  sameIn: (where: string, n: number) => `${where}: ${n} the same`,
  differs: "differs",
  onlyHere: "only here",
  onlyThere: "only there",
  notThere: "not stated",

  questions: (n: number, side: string) => `${side}: ${plural(n, "open question", "open questions")}. Both values stand below where one is open; nobody has decided.`,
  otherMachine: (here: string, there: string) => `The limits were written for ${here} and for ${there}. A number from one machine does not belong on another.`,
  noMachine: "a machine that is not named",
  limitsNote: "A limit belongs to one surgeon and one machine. Nothing here says which one is better.",

  twoValues: (one: string, other: string) => `Two values, not resolved: ${one}\nor: ${other}`,
  nothing: "nothing",

  card: "Card",
  titleOf: "Title",
  owner: "Owner",
  technique: "Technique",
  review: "Look at it again on",
  order: "Order",
  name: "Name",
  note: "Note",
  limits: "Limits",
  paragraph: "Paragraph",
  place: (where: string) => `place: ${where}`,
};
