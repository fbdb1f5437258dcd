import type { FieldInfo, RecordView } from "../generated/types";
import { readNumber, shownQuantity } from "../text";

/** One input as typed: its text, its unit where it is another than the kept one, its flag, its rows. */
export interface Typed {
  text: string;
  unit: string;
  on: boolean;
  rows: Record<string, Typed>[];
}

/** A form's values by the inputs' names. */
export type Form = Record<string, Typed>;

/** Nothing typed yet. */
export function untyped(text = ""): Typed {
  return { text, unit: "", on: false, rows: [] };
}

/** A number where it is one; as typed otherwise, so that the core says what is wrong with it. */
export function numberOf(words: string): number | string {
  const reading = readNumber(words);
  return reading.kind === "number" ? reading.value : words;
}

/** A number with its unit; bare where it has none. */
export function quantityOf(value: unknown, unit: string): unknown {
  return unit === "" ? value : { value, unit };
}

/** A record's form: what the record says, and nothing where it says nothing. */
export function formOf(fields: readonly FieldInfo[], record?: RecordView, given: Record<string, string> = {}): Form {
  return Object.fromEntries(
    fields.map((field) => {
      const said = record?.fields.find((one) => one.name === field.name);
      const stated = said?.value ?? given[field.name] ?? "";
      if (typeof stated === "boolean") return [field.name, { ...untyped(), on: stated }];
      if (field.type === "number") return [field.name, shownAmount(String(stated), said?.unit || field.unit)];
      return [field.name, { ...untyped(String(stated)), unit: said?.unit ?? "", on: stated === "true" }];
    }),
  );
}

/** An amount of the records as the reader types it; nothing stays nothing, in the unit that is offered. */
function shownAmount(words: string, unit: string): Typed {
  const reading = readNumber(words);
  if (reading.kind !== "number") return { ...untyped(words), unit: "" };
  const shown = shownQuantity({ value: reading.value, unit });
  const said = shown.unit === unit ? words : String(Number(shown.value.toPrecision(6)));
  return { ...untyped(said), unit: shown.unit };
}

/** The fields that were changed, as the core takes them; `null` takes a field away. */
export function changedFields(fields: readonly FieldInfo[], before: Form, now: Form): Record<string, unknown> {
  const changed: Record<string, unknown> = {};
  for (const field of fields) {
    const [old, typed] = [before[field.name] ?? untyped(), now[field.name] ?? untyped()];
    if (field.type === "flag") {
      if (old.on !== typed.on) changed[field.name] = typed.on;
      continue;
    }
    const words = typed.text.trim();
    const sameUnit = (old.unit || field.unit) === (typed.unit || field.unit);
    if (words === old.text.trim() && (sameUnit || words === "")) continue;
    if (words === "") changed[field.name] = null;
    else if (field.type === "number") changed[field.name] = quantityOf(numberOf(words), typed.unit || field.unit);
    else if (field.type === "money") changed[field.name] = numberOf(words);
    else changed[field.name] = words;
  }
  return changed;
}
