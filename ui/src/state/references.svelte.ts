import type { FieldInfo } from "../generated/types";
import { sayDay } from "../text";
import { ask } from "./query.svelte";

/** Something a field can name. */
export interface Option {
  value: string;
  label: string;
}

/** What can be chosen for each field of a form that names another record. */
export async function referencesFor(fields: readonly FieldInfo[], zone: string): Promise<Record<string, Option[]>> {
  const found: Record<string, Option[]> = {};
  for (const field of fields) {
    if (field.type === "material") {
      found[field.name] = (await ask("material.list", {})).map((one) => ({ value: one.id, label: one.name }));
    } else if (field.refers_to === "laboratory") {
      found[field.name] = (await ask("laboratory.list", {})).map((one) => ({ value: one.id, label: one.name }));
    } else if (field.type === "record" && zone) {
      const { season } = await ask("zone.show", { zone });
      found[field.name] = season
        .filter((event) => event.kind === field.refers_to)
        .map((event) => ({ value: event.id, label: event.date ? `${event.title}, ${sayDay(event.date)}` : event.title }));
    }
  }
  return found;
}
