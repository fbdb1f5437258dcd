/** Words, numbers and days as the reader sees them. */
export { text } from "./english";
export { locale, useLocale } from "./locale";
export { readNumber, sayBytes, sayNumber, sayPrinted, sayQuantity, sayRange, sayReading, sayUnit, type NumberReading } from "./numbers";
export * from "./days";
export { inMetres, preferredUnit, shownQuantity, unitsLike, useUnits } from "./units";
