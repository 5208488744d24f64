// Numbers stay the decimal texts they are stored as; the core judges them. What is here is only what fingers need:
// refusing keys that cannot belong to a number, and adding a step. Scaled whole numbers, never floating point.

const scale = 1_000_000;

/** What may stand in the field while typing: a digit comes before the point, six places at most. */
const partial = /^-?(\d{1,9}(\.\d{0,6})?)?$/;
const complete = /^-?\d{1,9}(\.\d{1,6})?$/;

export type DecimalMark = "." | ",";

/** A stored number as it is shown and typed where the mark is the decimal mark. */
export function withMark(text: string, mark: DecimalMark): string {
  return text.replace(".", mark);
}

/** What was typed, as it would be stored. Where the mark is a comma a point is taken for it, and shown as the comma at once. */
export function withPoint(typed: string, mark: DecimalMark): string {
  return mark === "," ? typed.replaceAll(",", ".") : typed;
}

/** The same for a text with figures in it, such as a strength: "0.5 mg/mL". */
export function withMarks(text: string, mark: DecimalMark): string {
  return mark === "," ? text.replace(/(\d)\.(?=\d)/g, "$1,") : text;
}

/** What was typed into such a text. A mark between digits is a decimal mark, but for a ratio, whose thousands it may part: 1:10,000. */
export function withPoints(typed: string, mark: DecimalMark): string {
  return mark === "," && !typed.includes(":") ? typed.replace(/(\d),(?=\d)/g, "$1.") : typed;
}

const thousands = /(?<![\d.,])[1-9]\d{0,2}(?:\.\d{3})+(?![.,]?\d)/;

/** Whether what was typed with points holds what people read as thousands where the mark is a comma: 10.000 would be kept as 10. */
export function partsThousands(typed: string, mark: DecimalMark): boolean {
  return mark === "," && thousands.test(typed);
}

/** Whether `text` may stand in a number field while it is being typed. */
export function mayBecomeNumber(text: string, negative: boolean): boolean {
  return partial.test(text) && (negative || !text.startsWith("-"));
}

/** Whether `text` is a whole number field as it would be stored. */
export function isNumber(text: string): boolean {
  return complete.test(text);
}

/** Millionths of a complete number. */
export function toMillionths(text: string): number {
  if (!isNumber(text)) throw new RangeError(`${text} is not a number`);
  const [whole = "0", fraction = ""] = text.replace("-", "").split(".");
  const size = Number(whole) * scale + Number(fraction.padEnd(6, "0"));
  return text.startsWith("-") ? -size : size;
}

/** The number as it is written everywhere: a leading zero, no trailing zero. */
export function fromMillionths(n: number): string {
  const size = Math.abs(n);
  const fraction = String(size % scale).padStart(6, "0").replace(/0+$/, "");
  const digits = String(Math.floor(size / scale)) + (fraction && "." + fraction);
  return n < 0 ? "-" + digits : digits;
}

/** The next multiple of `step` from `value` in a direction, kept within min and max. */
export function stepFrom(value: string, direction: 1 | -1, step: string, min: string, max: string): string {
  const by = toMillionths(step);
  const now = toMillionths(value);
  const grid = now / by;
  const next = (direction > 0 ? Math.floor(grid) + 1 : Math.ceil(grid) - 1) * by;
  return fromMillionths(Math.min(Math.max(next, toMillionths(min)), toMillionths(max)));
}

/** Whether a complete number lies within min and max; an empty bound does not bind. */
export function within(value: string, min?: string, max?: string): boolean {
  const n = toMillionths(value);
  return (!min || n >= toMillionths(min)) && (!max || n <= toMillionths(max));
}
