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

/** How a person measures. */
export type Measure = "metric" | "us";

/** The unit in which somebody who measures in US customary units first types a value. */
const US: Readonly<Record<string, string>> = {
  kg: "lb",
  g: "oz",
  mm: "in",
  m: "ft",
  m2: "ft2",
  L: "US gal",
  "g/m2": "lb/1000 ft2",
  "L/m2": "US gal/1000 ft2",
  "t/m3": "lb/ft3",
  "°C": "°F",
};

/** The unit a value is first typed in. */
export function preferredUnit(unit: string, measure: Measure): string {
  return measure === "us" ? (US[unit] ?? unit) : unit;
}
