/** Every word of the screens about a whole list: its set-up, its team brief and its order. */

const plural = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** "cases 1, 3 and 5" */
const cases = (list: readonly number[]): string => {
  const last = list[list.length - 1];
  if (list.length < 2) return `case ${last ?? ""}`;
  return `cases ${list.slice(0, -1).join(", ")} and ${last}`;
};

export const textList = {
  title: "Whole list",
  faces: { setup: "Set up", brief: "Team brief", order: "Order" },
  facesLabel: "Parts of the list",
  listOf: (day: string) => `List of ${day}`,
  none: "There is no list of this day on this device.",
  cases,

  sheets: {
    making: "The sheets of the cases that have none yet are being looked at…",
    inUse: (list: readonly number[]) => `From the sheets in use: ${cases(list)}.`,
    wouldBe: (list: readonly number[]) => `As a sheet made now would say: ${cases(list)}.`,
    newer: (list: readonly number[]) => `There is something newer than the sheet in use: ${cases(list)}. What is in use is counted.`,
    missing: (position: number, why: string) => `Case ${position} is not counted: ${why}`,
    coreFailed: "its sheet is not made, and the part that makes sheets could not start.",
    unsettled: (position: number) => `The facts of case ${position} have two answers, not resolved: what it needs may be different.`,
  },

  setup: {
    summary: (n: number, of: number, all: number) => `${plural(n, "thing", "things")} for ${plural(of, "case", "cases")}${of < all ? ` of ${all}` : ""}`,
    compete: "More than one case asks for these",
    competeLead: "Some cases ask for them and others do not. Are there enough, and do they come back in time?",
    inARow: "two of them one after the other",
    lenses: "Lenses",
    lensFor: (list: readonly number[]) => `lens of ${cases(list)}`,
    spareFor: (list: readonly number[]) => `spare of ${cases(list)}`,
    boxes: (n: number) => plural(n, "box", "boxes"),
    lensLead: "As it stands in the facts of each case. Model, power and eye are read from the box and from the plan at the lens check.",
    ready: "In the room, unopened, and for whom",
    open: "Opened on the table",
    kinds: { implant: "Implants", instrument: "Instruments", consumable: "Consumables", fluid: "Fluids", drug: "Drugs" },
    number: (n: number) => `${n} ×`,
    each: (n: number) => (n === 1 ? "every case" : `every case, ${n} each`),
    share: (position: number, quantity: number) => (quantity === 1 ? `case ${position}` : `case ${position}: ${quantity}`),
    special: "special",
    asked: (list: readonly number[]) => `not settled in ${cases(list)}`,
    note: "Summed from the sheets. What is used up, broken or away is not known here: count what is there.",
  },

  brief: {
    once: "Once for the whole list",
    lead: "To be read aloud before the list begins. Answers are written down under Read aloud of each case, not here.",
    again: "If the order changes, the brief is made again.",
    place: (n: number, of: number) => `${n} of ${of}`,
    previous: "Back",
    next: "Next",
    case: (n: number) => `Case ${n}`,
    asks: (ask: string, answer: string) => `${ask} asks, ${answer} answers`,
    expect: "Expected",
    stored: "Stored",
    unknown: "Not known, so it is asked",
    note: "Note",
    nothing: "Nothing special is known of this case.",
    noSheet: "No sheet can be shown for this case: read its facts.",
    mayGoDark: "The screen may go dark: this device does not keep it on. Touch it now and then.",
    eyeMissing: "eye not stated",
    eyeOpen: "which eye is not settled",
  },

  order: {
    lead: "The order is kept when you say so. Each case keeps its facts, its sheet, its ticks and its answers; only its place changes.",
    up: (position: number) => `Case ${position}: one up`,
    down: (position: number) => `Case ${position}: one down`,
    was: (position: number) => `was ${position}`,
    keep: "Keep this order",
    back: "As it was",
    keeping: "Keeping…",
    nothing: "Nothing is moved yet.",
    reason: "Order of the list changed",
    kept: "The order is kept on this device. It is a new team brief.",
    sheets: "Sheets in use show their old place until they are made again, and say so. Ticks and answers that still fit stay.",
    whoFirst: "Choose your name, then come back to the order.",
    notKept: "Not all of the order was kept. The list shows what was.",
  },
};
