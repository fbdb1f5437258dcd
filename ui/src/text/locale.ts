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
