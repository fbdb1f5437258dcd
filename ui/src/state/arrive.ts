import type { RecordView } from "../generated/types";
import { href } from "./router.svelte";

/** The screen that shows a record of a kind, with its steps. */
export function placeOf(record: Pick<RecordView, "kind" | "id">): string[] {
  const own = ["property", "zone", "sample", "panel", "plan"];
  if (record.kind === "material") return ["materials", record.id];
  return own.includes(record.kind) ? [record.kind, record.id] : ["record", record.id];
}

/** The link to a record's screen. */
export function linkTo(record: Pick<RecordView, "kind" | "id">): string {
  return href(...placeOf(record));
}
