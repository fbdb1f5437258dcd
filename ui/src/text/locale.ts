/** The reader's own way of writing numbers and days; the words themselves come from the catalogue. */
let chosen: string | undefined;

/** The locale in force. */
export function locale(): string {
  return chosen ?? (typeof navigator === "undefined" ? "en-GB" : navigator.language || "en-GB");
}

/** Takes another locale; `undefined` goes back to the system's. */
export function useLocale(tag: string | undefined): void {
  chosen = tag && isLocale(tag) ? tag : undefined;
}

function isLocale(tag: string): boolean {
  try {
    return Intl.NumberFormat.supportedLocalesOf(tag).length > 0;
  } catch {
    return false;
  }
}

const dayFormats = new Map<string, Intl.DateTimeFormat>();
const numberFormats = new Map<string, Intl.NumberFormat>();

/** How days are written here; made once for each way, since making one costs many times its use. */
export function dayFormat(options: Intl.DateTimeFormatOptions, tag = locale()): Intl.DateTimeFormat {
  return kept(dayFormats, tag, options, () => new Intl.DateTimeFormat(tag, options));
}

/** How numbers are written here; made once for each way. */
export function numberFormat(options: Intl.NumberFormatOptions = {}): Intl.NumberFormat {
  const tag = locale();
  return kept(numberFormats, tag, options, () => new Intl.NumberFormat(tag, options));
}

function kept<Format>(formats: Map<string, Format>, tag: string, options: object, make: () => Format): Format {
  const key = `${tag} ${JSON.stringify(options)}`;
  let format = formats.get(key);
  if (!format) formats.set(key, (format = make()));
  return format;
}
