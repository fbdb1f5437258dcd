import { dayFormat, locale, numberFormat } from "./locale";

/** A civil day as the core writes it: year, month, day. */
export type Day = string;

/** What a person typed, read as a day or not. */
export type DayReading =
  | { kind: "day"; day: Day }
  | { kind: "empty" }
  | { kind: "ambiguous" }
  | { kind: "not-a-day" };

/** The civil day here and now. */
export function today(now: Date = new Date()): Day {
  return join(now.getFullYear(), now.getMonth() + 1, now.getDate());
}

/** A day so many days later, or earlier when negative. */
export function plusDays(day: Day, days: number): Day {
  const date = midnight(day);
  date.setUTCDate(date.getUTCDate() + days);
  return fromDate(date);
}

/** The same day of the month so many months later; the last of a shorter month. */
export function plusMonths(day: Day, months: number): Day {
  const date = midnight(day);
  const wanted = date.getUTCDate();
  date.setUTCDate(1);
  date.setUTCMonth(date.getUTCMonth() + months);
  const last = new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 0)).getUTCDate();
  date.setUTCDate(Math.min(wanted, last));
  return fromDate(date);
}

/** Whether a text is a day of the calendar, year first. */
export function isDay(text: string): boolean {
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && fromDate(midnight(text)) === text;
}

/** A day with its month in letters, so that no two countries read it differently. */
export function sayDay(day: Day): string {
  return isDay(day) ? write(day, { day: "numeric", month: "short", year: "numeric" }) : day;
}

/** A sentence of the core with its days written as the reader writes them, and its units' exponents raised. */
export function sayDays(sentence: string): string {
  return sentence
    .replace(/\b\d{4}-\d{2}-\d{2}\b/g, (day) => sayDay(day).replaceAll(" ", "\u00a0"))
    .replace(/([\d/] ?(?:m|ft|yd|cm))([23])\b/g, (_, unit: string, power: string) => `${unit}${power === "2" ? "²" : "³"}`);
}

/** How days are written here, for the figures that the core draws. */
export function dayForm(): { months: string[]; date_order: "day-month-year" | "month-day-year" | "year-month-day" } {
  const format = dayFormat({ day: "numeric", month: "short", year: "numeric", timeZone: "UTC" });
  const parts = (month: number) => format.formatToParts(midnight(join(2026, month, 14)));
  const order = parts(9).flatMap(({ type }) => (type === "day" || type === "month" || type === "year" ? [type] : []));
  return {
    months: Array.from({ length: 12 }, (_, at) => parts(at + 1).find((part) => part.type === "month")!.value),
    date_order: order[0] === "month" ? "month-day-year" : order[0] === "year" ? "year-month-day" : "day-month-year",
  };
}

/** The mark before the decimals here. */
export function decimalMark(): string {
  return numberFormat().formatToParts(0.5).find((part) => part.type === "decimal")?.value ?? ".";
}

/** A day without its year, for a line whose year is plain. */
export function sayDayOfYear(day: Day): string {
  return isDay(day) ? write(day, { day: "numeric", month: "short" }) : day;
}

/** The day with its weekday. */
export function sayFullDay(day: Day): string {
  return write(day, { weekday: "long", day: "numeric", month: "long", year: "numeric" });
}

/** Month and year, for the head of a month's grid. */
export function sayMonth(day: Day): string {
  return write(day, { month: "long", year: "numeric" });
}

/** Monday to Sunday in short. */
export function weekdays(): string[] {
  // 5 January 2026 is a Monday.
  return Array.from({ length: 7 }, (_, at) => write(plusDays("2026-01-05", at), { weekday: "short" }));
}

/** Six weeks of days from the Monday on or before the first of the month. */
export function monthGrid(day: Day): Day[][] {
  const first = `${day.slice(0, 8)}01`;
  const start = plusDays(first, -((midnight(first).getUTCDay() + 6) % 7));
  return Array.from({ length: 6 }, (_, week) =>
    Array.from({ length: 7 }, (_, at) => plusDays(start, week * 7 + at)),
  );
}

/**
 * Reads a day as typed: year first, or with the month in letters, or in numbers that can only be
 * read one way. A day without its year is the one nearest to today.
 */
export function readDay(typed: string, now: Day = today()): DayReading {
  const text = typed.trim().toLowerCase().replace(/[.,]/g, " ").replace(/\s+/g, " ");
  if (text === "") return { kind: "empty" };
  const yearFirst = /^(\d{4})[-/ ](\d{1,2})[-/ ](\d{1,2})$/.exec(text);
  if (yearFirst) return made(Number(yearFirst[1]), Number(yearFirst[2]), Number(yearFirst[3]));

  const numbers = /^(\d{1,2})[-/ ](\d{1,2})[-/ ](\d{4})$/.exec(text);
  if (numbers) {
    const [one, two, year] = [Number(numbers[1]), Number(numbers[2]), Number(numbers[3])];
    if (one > 12) return made(year, two, one);
    if (two > 12) return made(year, one, two);
    return one === two ? made(year, one, two) : { kind: "ambiguous" };
  }

  const letters =
    /^(\d{1,2})[- ]?([^\d\s-]+)(?:[- ](\d{4}))?$/.exec(text) ?? turned(/^([^\d\s-]+)[- ](\d{1,2})(?:[- ](\d{4}))?$/.exec(text));
  if (letters) {
    const month = monthNamed(letters[2] ?? "");
    if (month === undefined) return { kind: "not-a-day" };
    const date = Number(letters[1]);
    if (letters[3] !== undefined) return made(Number(letters[3]), month, date);
    return nearest(month, date, now);
  }
  return { kind: "not-a-day" };
}

function turned(found: RegExpExecArray | null): (string | undefined)[] | null {
  return found && [found[0], found[2], found[1], found[3]];
}

function nearest(month: number, date: number, now: Day): DayReading {
  const year = Number(now.slice(0, 4));
  const days = [year - 1, year, year + 1]
    .map((candidate) => made(candidate, month, date))
    .flatMap((reading) => (reading.kind === "day" ? [reading.day] : []));
  const far = (day: Day) => Math.abs(midnight(day).getTime() - midnight(now).getTime());
  const [first] = days.sort((left, right) => far(left) - far(right));
  return first === undefined ? { kind: "not-a-day" } : { kind: "day", day: first };
}

function monthNamed(word: string): number | undefined {
  if (word.length < 3) return undefined;
  for (const tag of [locale(), "en"]) {
    for (let month = 1; month <= 12; month += 1) {
      const name = dayFormat({ month: "long", timeZone: "UTC" }, tag)
        .format(midnight(join(2026, month, 1)))
        .toLowerCase();
      // "sept" is the one common short form that is no prefix of three letters alone.
      if (name.startsWith(word)) return month;
    }
  }
  return undefined;
}

function made(year: number, month: number, date: number): DayReading {
  const day = join(year, month, date);
  return isDay(day) ? { kind: "day", day } : { kind: "not-a-day" };
}

function write(day: Day, options: Intl.DateTimeFormatOptions): string {
  return dayFormat({ ...options, timeZone: "UTC" }).format(midnight(day));
}

function midnight(day: Day): Date {
  return new Date(`${day}T00:00:00Z`);
}

function fromDate(date: Date): Day {
  return Number.isNaN(date.getTime())
    ? ""
    : join(date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate());
}

function join(year: number, month: number, date: number): Day {
  return `${String(year).padStart(4, "0")}-${String(month).padStart(2, "0")}-${String(date).padStart(2, "0")}`;
}
