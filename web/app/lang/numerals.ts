// Figures and days as they are written in German. For what is drawn, once: what was written with a comma stays as it is.

const decimal = /(?<![\p{L}\d.,:_/-]|\p{L}\p{L}[/])(-?\d{1,9})\.(\d{1,6})(?![\p{L}\d_:]|[.,]\d)/gu;
const perDecimal = /(?<=\p{L}\/)(\d{1,9})\.(\d{1,6})(?![\d.])/gu;
/** What holds a point that parts no decimals: versions, days, addresses, numbers of articles, codes. */
const otherPoint = /:\/\/|^\(?(doi:)?10\.\d{4,9}\/|\d\.\d+\.\d|\p{L}\.\p{L}|\d\.\p{L}|@/iu;
/** A figure in quotation marks is what somebody wrote, or is to write, to the letter. */
const quotedFigure = /^\(?[“„"][-−]?\d+\.\d+["“”]/u;
/** Words after which a figure with a point is a name. */
const namesNext = /(^|[\s(])(version|software|release|revision|edition|fassung|ausgabe|table|tabelle|figure|abbildung|section|abschnitt|chapter|kapitel|by|wcag|apache|mpl|ofl|doi:?)$/iu;

const months = ["Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"];
const english = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
const day = /\b(\d{1,2}) (Jan(?:uary)?|Feb(?:ruary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?|Sept?(?:ember)?|Oct(?:ober)?|Nov(?:ember)?|Dec(?:ember)?) (\d{4})\b/g;

/** A point between thousands, as people write it. The program ends no decimal with a nought, so that this is none of its own. */
const round = /^-?[1-9]\d{0,2}\.\d\d0$/;
/** Thousands or decimals: who wrote it knows. */
const threePlaces = /^-?[1-9]\d{0,2}\.\d{3}$/;
/** Figures with their unit, or a working. These are the program's, though no catalogue has them. */
const figuresAlone = /^[^\p{L}:]*((to|bis) [^\p{L}:]*)?([\p{L}%/°·²]{1,12}(\/[\d.]+ ?\p{L}{1,12})?)?[).]?$|[=×√→]/u;
const clock = /((?<![\d.,])(?:\d{1,2}\.[0-5]\d\s*(?:–|-|bis|und|oder)\s*)*\d{1,2}\.[0-5]\d\s*Uhr)/u;

/** A range and nothing else: "3 to 7 mm". Within a sentence "to" means many things. */
const range = /^([-−]?[\d.]+(?: ?[%°])?) to (?=[-−]?[\d.]+(?:[ \u00a0]?[\p{L}%°/]{1,9})?$)/u;

/**
 * The text with decimal commas, and with ranges and days such as "3 March 2027" in German. In a text that is not `ours`
 * a figure that may be thousands stays as it was written: read as decimals it would be a thousand times too small.
 */
export function inGermanFigures(text: string, ours = false): string {
  if (!/\d/.test(text)) return text;
  const days = text.replace(range, "$1 bis ").replace(day, (_, d: string, month: string, year: string) => `${d}. ${months[english.indexOf(month.slice(0, 3).toLowerCase())]} ${year}`);
  if (!/\d\.\d/.test(days)) return days;
  const stays = ours || figuresAlone.test(days) ? round : threePlaces;
  return days.split(clock).map((part, i) => (i % 2 === 1 ? part : withCommas(part, stays))).join("");
}

function withCommas(text: string, stays: RegExp): string {
  const words = text.split(/(\s+)/);
  return words.map((w, i) => (otherPoint.test(w) || quotedFigure.test(w) || namesNext.test(words.slice(Math.max(0, i - 2), i).join("").trim()) ? w : commas(w, stays))).join("");
}

function commas(word: string, stays: RegExp): string {
  const comma = (figure: string) => (stays.test(figure) ? figure : figure.replace(".", ","));
  return word.replace(decimal, comma).replace(perDecimal, comma);
}
