import { computed, signal } from "@preact/signals";
import { tongue } from "../lang/said";
import { text } from "../text";

/** Now, renewed often enough for words such as "12 min ago" to stay true. */
export const now = signal(new Date());
setInterval(() => { now.value = new Date(); }, 20_000);
document.addEventListener("visibilitychange", () => { now.value = new Date(); });

const formats = computed(() => {
  const as = (how: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat(tongue.value.locale, how);
  const clock = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" } as const;
  return {
    clock: as(clock),
    day: as({ weekday: "long", day: "numeric", month: "long", year: "numeric" }),
    short: as({ day: "numeric", month: "short", year: "numeric" }),
    moment: as({ day: "numeric", month: "short", year: "numeric", ...clock }),
  };
});

/** Makes the formats of times, which takes a slow device as long as drawing a short screen: better before one than within. */
export function readyTimes(): void {
  void formats.value;
}

/** The device's own day, written 2027-03-31. */
export function today(at: Date = now.value): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** A day in words: "Wednesday 31 March 2027". */
export function dayInWords(date: string): string {
  const day = formats.value.day.format(new Date(date + "T12:00:00"));
  return tongue.value.locale === "en-GB" ? day.replace(",", "") : day;
}

/** A day, short: "31 Mar 2027". */
export function dayShort(date: string): string {
  return formats.value.short.format(new Date(date.length === 10 ? date + "T12:00:00" : date));
}

/** A time as people say it: "07:42" today, "yesterday 07:42", else the day and the time. */
export function timeInWords(iso: string): string {
  const at = new Date(iso);
  const clock = clockInWords(at);
  const day = today(at);
  if (day === today()) return clock;
  const yesterday = new Date(now.value);
  yesterday.setDate(yesterday.getDate() - 1);
  return day === today(yesterday) ? text.yesterdayAt(clock) : `${formats.value.short.format(at)} ${clock}`;
}

/** The time of day: "07:42". */
export function clockInWords(at: Date): string {
  return formats.value.clock.format(at);
}

/** A day and its time, for paper: "31 Mar 2027, 07:42". */
export function momentInWords(at: Date): string {
  return formats.value.moment.format(at);
}

/** Whole hours between a time and now. */
export function hoursSince(iso: string): number {
  return Math.floor((now.value.getTime() - new Date(iso).getTime()) / 3_600_000);
}

/** Whole days between a day and today; negative when it lies ahead. */
export function daysSince(date: string): number {
  const noon = (d: string) => new Date(d + "T12:00:00").getTime();
  return Math.round((noon(today()) - noon(date)) / 86_400_000);
}

/** A time with its machine form for assistive technology and printing. */
export function Time({ at }: { at: string }) {
  return <time dateTime={at}>{timeInWords(at)}</time>;
}

/** How old something is, always in the same words: "as of 07:42". */
export function AgeOfData({ at }: { at: string | null }) {
  return at ? <span>{text.asOf} <Time at={at} /></span> : <span>{text.neverRead}</span>;
}
