import { numberFormat } from "./locale";
import { shownQuantity } from "./units";

/** What a person typed, read as a number or not. */
export type NumberReading =
  | { kind: "number"; value: number }
  | { kind: "empty" }
  | { kind: "ambiguous" }
  | { kind: "not-a-number" };

const SPACES = /[ \u00a0\u2009\u202f']/g;

/**
 * Reads a decimal number typed with a point or a comma.
 *
 * The same rules as the core's reader of numbers: `1,234` can be read two ways and is refused, a mark
 * that comes last and stands once beside the other one is the decimal mark.
 */
export function readNumber(typed: string): NumberReading {
  const compact = typed.trim().replace(/\u2212/g, "-").replace(SPACES, "");
  if (compact === "") return { kind: "empty" };
  const parts = /^([-+]?)([\d.,]*)(?:e([-+]?\d+))?$/i.exec(compact);
  if (!parts || !/\d/.test(parts[2] ?? "")) return { kind: "not-a-number" };
  const [, sign, digits = "", exponent = "0"] = parts;
  const points = digits.split(".").length - 1;
  const commas = digits.split(",").length - 1;
  let mark = ".";
  if (points === 0 && commas === 1) {
    const [whole = "", fraction = ""] = digits.split(",");
    if (fraction.length === 3 && whole.length >= 1 && whole.length <= 3 && whole !== "0") {
      return { kind: "ambiguous" };
    }
    mark = ",";
  } else if (points > 0 && commas > 0) {
    mark = digits.lastIndexOf(",") > digits.lastIndexOf(".") ? "," : ".";
    if ((mark === "," ? commas : points) !== 1) return { kind: "not-a-number" };
  } else if (points > 1 || commas > 1) {
    return { kind: "not-a-number" };
  }
  const [whole = "", fraction = ""] = digits.split(mark);
  const groups = whole.split(mark === "." ? "," : ".");
  const first = groups[0] ?? "";
  const fits =
    groups.length === 1 ||
    (first.length >= 1 && first.length <= 3 && groups.slice(1).every((group) => group.length === 3));
  if (!fits) return { kind: "not-a-number" };
  const value = Number(`${sign}${groups.join("") || "0"}.${fraction || "0"}e${exponent}`);
  return Number.isFinite(value) ? { kind: "number", value } : { kind: "not-a-number" };
}

/** How many digits a value is shown with where nothing else is known. */
const DIGITS = 4;

/** A number as a person here writes it, to four significant digits. */
export function sayNumber(value: number, digits = DIGITS): string {
  const whole = Number.isInteger(value) && Math.abs(value) < 1e15;
  return numberFormat(whole ? {} : { maximumSignificantDigits: digits }).format(value);
}

/** An amount of the records in the reader's own unit, kept on one line. */
export function sayQuantity(quantity: { value: number; unit: string }, digits = DIGITS): string {
  return sayPrinted(shownQuantity(quantity), digits);
}

/** The two ends of a range in the reader's own unit. */
export function sayRange(low: number, high: number, unit: string, digits = DIGITS): string {
  const [from, to] = [shownQuantity({ value: low, unit }), shownQuantity({ value: high, unit })];
  return `${sayNumber(from.value, digits)}–${sayPrinted(to, digits)}`;
}

/** A number with its unit as a laboratory printed it or an equation takes it. */
export function sayPrinted(quantity: { value: number; unit: string }, digits = DIGITS): string {
  const unit = sayUnit(quantity.unit);
  const number = sayNumber(quantity.value, digits);
  // "pH 5.2" is how the trade says it; every other unit follows its number.
  if (unit === "pH") return `pH\u00a0${number}`;
  return unit === "" ? number : `${number}\u00a0${unit}`;
}

/** Bytes in megabytes, as they are counted on disks. */
export function sayBytes(bytes: number): string {
  return sayQuantity({ value: bytes / 1e6, unit: "MB" }, bytes < 1e6 ? 2 : 3);
}

/** A reading with the sign of a bound before it. */
export function sayReading(reading: { qualifier: string; value: number | null; unit: string }, digits = DIGITS): string {
  if (reading.value === null) return "–";
  const said = sayPrinted({ value: reading.value, unit: reading.unit }, digits);
  return reading.qualifier === "" ? said : `${reading.qualifier}\u00a0${said}`;
}

/** A unit with its exponents raised. */
export function sayUnit(symbol: string): string {
  return symbol.replace(/(m|ft|yd|cm)2\b/g, "$1²").replace(/(m|ft|cm)3\b/g, "$1³");
}
