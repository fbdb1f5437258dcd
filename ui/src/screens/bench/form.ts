import type { CalculationInfo, InputInfo } from "../../generated/types";
import { numberOf, quantityOf, untyped, type Form, type Typed } from "../../parts/typed";

export type { Form } from "../../parts/typed";

/** A form with nothing in it. */
export function emptyForm(inputs: readonly InputInfo[]): Form {
  return Object.fromEntries(
    inputs.map((input) => [
      input.name,
      {
        ...untyped(),
        on: input.kind === "flag" && input.default === "true",
        rows: input.kind === "rows" && input.required ? [emptyForm(input.members)] : [],
      },
    ]),
  );
}

/** The values a kept form may lack because the calculation has learnt to take more since. */
export function completed(form: Form, inputs: readonly InputInfo[]): Form {
  return { ...emptyForm(inputs), ...form };
}

/** The inputs as the core takes them; what is left empty is left out. */
export function inputsOf(form: Form, inputs: readonly InputInfo[]): Record<string, unknown> {
  const given: Record<string, unknown> = {};
  for (const input of inputs) {
    const typed = form[input.name];
    if (!typed) continue;
    const value = valueOf(typed, input);
    if (value !== undefined) given[input.name] = value;
  }
  return given;
}

function valueOf(typed: Typed, input: InputInfo): unknown {
  const words = typed.text.trim();
  switch (input.kind) {
    case "flag":
      return typed.on;
    case "rows": {
      const rows = typed.rows.filter((row) => Object.values(row).some((one) => one.text.trim() !== "" || one.rows.length > 0));
      return rows.length === 0 ? undefined : rows.map((row) => inputsOf(row, input.members));
    }
    case "number":
      return words === "" ? undefined : quantityOf(numberOf(words), typed.unit || input.unit);
    case "count":
      return words === "" ? undefined : numberOf(words);
    case "numbers": {
      const list = words.split(/[\n;]+|\s+/).filter(Boolean).map(numberOf);
      return list.length === 0 ? undefined : quantityOf(list, typed.unit || input.unit);
    }
    default:
      return words === "" ? undefined : words;
  }
}

/** The problem that belongs to one input, from the core's path such as `rows[1].mass`. */
export function problemAt(field: string | null, name: string): boolean {
  return field !== null && (field === name || field.startsWith(`${name}[`) || field.startsWith(`${name}.`));
}

/** The rest of a path below one row of an input, or nothing when the path lies elsewhere. */
export function below(field: string | null, name: string, row: number): string | null {
  const start = `${name}[${row}].`;
  return field?.startsWith(start) ? field.slice(start.length) : null;
}

/** Whether what is searched for stands in a calculation's name, inputs or answers. */
export function matches(calculation: CalculationInfo, searched: string): boolean {
  const all = [
    calculation.id,
    calculation.title,
    ...calculation.inputs.map((input) => input.about),
    ...calculation.outputs.map((output) => output.about),
  ]
    .join(" ")
    .toLowerCase();
  return searched.toLowerCase().split(/\s+/).every((word) => all.includes(word));
}
