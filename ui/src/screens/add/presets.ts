import type { FieldInfo } from "../../generated/types";

/** A short form for something recorded in the field in seconds. */
export interface Preset {
  /** Kind of record it makes. */
  kind: string;
  /** What it begins with; `today` becomes the day. */
  given: Record<string, string>;
  /** Fields shown, in order; all when left out. */
  only?: string[];
  /** How many are shown at once. */
  first: number;
  shape?: (field: FieldInfo) => FieldInfo;
}

const RATING = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];

/** By the name that stands in the address. */
export const PRESETS: Readonly<Record<string, Preset>> = {
  rating: {
    kind: "observation",
    given: { sort: "rating", date: "today" },
    only: ["what", "value", "date", "rater", "time", "note"],
    first: 3,
    shape(field) {
      if (field.name === "what") return { ...field, type: "choice", choices: ["colour", "quality", "density"] };
      return field.name === "value" ? { ...field, type: "choice", choices: RATING } : field;
    },
  },
  spot: {
    kind: "observation",
    given: { sort: "spot", date: "today" },
    only: ["what", "value", "unit", "date", "instrument", "calibrated", "time", "note"],
    first: 4,
    shape: (field) =>
      field.name === "what"
        ? { ...field, type: "choice", choices: ["ph-probe", "salinity", "moisture", "firmness", "temperature", "infiltration"] }
        : field,
  },
  note: { kind: "observation", given: { sort: "note", date: "today" }, only: ["note", "date", "time"], first: 2 },
  application: {
    kind: "application",
    given: { date: "today" },
    only: ["material", "amount", "date", "area", "watered_in", "material_words", "form", "volume", "how", "weather", "time", "note"],
    first: 5,
  },
  sample: {
    kind: "sample",
    given: { date: "today" },
    first: 0,
  },
};
