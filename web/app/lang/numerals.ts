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

/** A range and nothing else: "3 to 7 mm". Within a sentence "to" means many things. */
const range = /^([-−]?[\d.]+(?: ?[%°])?) to (?=[-−]?[\d.]+(?:[ \u00a0]?[\p{L}%°/]{1,9})?$)/u;

/** The text with decimal commas, and with ranges and days such as "3 March 2027" in German. */
export function inGermanFigures(text: string): string {
  if (!/\d/.test(text)) return text;
  const days = text.replace(range, "$1 bis ").replace(day, (_, d: string, month: string, year: string) => `${d}. ${months[english.indexOf(month.slice(0, 3).toLowerCase())]} ${year}`);
  if (!/\d\.\d/.test(days)) return days;
  const words = days.split(/(\s+)/);
  return words.map((w, i) => (otherPoint.test(w) || quotedFigure.test(w) || namesNext.test(words.slice(Math.max(0, i - 2), i).join("").trim()) ? w : commas(w))).join("");
}

function commas(word: string): string {
  return word.replace(decimal, "$1,$2").replace(perDecimal, "$1,$2");
}
