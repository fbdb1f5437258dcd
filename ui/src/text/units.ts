/** Units that measure the same thing, in the order they are offered; the core converts. */
const FAMILIES: readonly (readonly string[])[] = [
  ["kg", "g", "t", "lb", "oz", "US ton"],
  ["mm", "cm", "m", "in", "ft"],
  ["m2", "100 m2", "ha", "ft2", "1000 ft2", "yd2", "acre"],
  ["L", "mL", "US gal"],
  ["g/m2", "kg/100 m2", "kg/ha", "t/ha", "kg/m2", "lb/1000 ft2", "lb/100 ft2", "lb/acre", "US ton/acre", "oz/yd2"],
  ["L/m2", "mL/m2", "L/ha", "US gal/1000 ft2"],
  ["mg/kg", "g/kg", "mg/100 g", "g/100 g", "µg/kg"],
  ["mg/L", "g/L"],
  ["cmol/kg", "mmol/kg"],
  ["dS/m", "mS/m", "µS/cm"],
  ["t/m3", "kg/m3", "lb/ft3"],
  ["°C", "°F"],
  ["d", "week", "h"],
];

/** The units in which a value of this unit may be given, the unit itself first. */
export function unitsLike(unit: string): readonly string[] {
  const family = FAMILIES.find((members) => members.includes(unit));
  return family ? [unit, ...family.filter((member) => member !== unit)] : [unit];
}

/** All families, for the check against the core that each member is known and convertible there. */
export const unitFamilies = FAMILIES;

/** A kept unit and the one it is shown in, as the core says. */
interface ShownUnit {
  unit: string;
  shown: string;
  factor: number;
  offset: number;
}

let shown: ReadonlyMap<string, ShownUnit> = new Map();
let metres: ReadonlyMap<string, number> = new Map();

/** Takes the core's units; the core alone decides which they are and how large each is. */
export function useUnits(units: readonly ShownUnit[], lengths: readonly { unit: string; metres: number }[] = []): void {
  shown = new Map(units.map((one) => [one.unit, one]));
  metres = new Map(lengths.map((one) => [one.unit, one.metres]));
}

/** A length in metres; nothing for a unit that the core has not named. */
export function inMetres(value: number, unit: string): number | undefined {
  const factor = metres.get(unit);
  return factor === undefined ? undefined : value * factor;
}

/** The unit a value is shown in and first typed in. */
export function preferredUnit(unit: string): string {
  return shown.get(unit)?.shown ?? unit;
}

/** An amount of the records as it is shown. */
export function shownQuantity(kept: { value: number; unit: string }): { value: number; unit: string } {
  const one = shown.get(kept.unit);
  return one ? { value: kept.value * one.factor + one.offset, unit: one.shown } : { value: kept.value, unit: kept.unit };
}
