import { Refusal } from "../backend";
import type { FieldInfo, FormInfo, RecordView } from "../generated/types";
import { changedFields, formOf, type Form } from "../parts/typed";
import { Draft } from "./drafts.svelte";
import { act, ask } from "./query.svelte";
import { referencesFor, type Option } from "./references.svelte";

let forms: Promise<FormInfo[]> | undefined;

/** The form of a kind of record; the core's list does not change while the window is open. */
export async function formInfo(kind: string): Promise<FormInfo> {
  forms ??= ask("record.forms", {});
  const all = await forms.catch((thrown: unknown) => {
    forms = undefined;
    throw thrown;
  });
  const found = all.find((one) => one.kind === kind);
  if (!found) throw new Refusal({ code: "not-found", message: `there is no form for "${kind}"` });
  return found;
}

/** What a form is opened with. */
export interface Opening {
  kind: string;
  /** The property or zone a new record belongs to; empty for the notebook's own. */
  within?: string;
  /** The record being changed; none for a new one. */
  record?: RecordView;
  /** What a new record begins with. */
  given?: Record<string, string>;
  /** Fields shown, in this order; all when left out. */
  only?: readonly string[];
  /** Changes to how a field is filled in. */
  shape?: (field: FieldInfo) => FieldInfo;
}

/** A record being made or changed: its inputs, its draft, and saving it. */
export class RecordEditing {
  readonly info: FormInfo;
  readonly fields: FieldInfo[];
  readonly references: Record<string, Option[]>;
  readonly draft: Draft<Form>;
  problem = $state.raw<Refusal>();
  saving = $state(false);
  readonly #opening: Opening;
  readonly #before: Form;

  private constructor(opening: Opening, info: FormInfo, fields: FieldInfo[], references: Record<string, Option[]>) {
    this.#opening = opening;
    this.info = info;
    this.fields = fields;
    this.references = references;
    this.#before = formOf(fields, opening.record);
    const { kind, within = "", record, given = {} } = opening;
    const name = record ? `record/${record.id}` : `add/${kind}/${within}/${given.sort ?? ""}`;
    this.draft = new Draft<Form>(name, () => formOf(fields, record, given));
  }

  /** Reads the form and what its fields may name. */
  static async open(opening: Opening): Promise<RecordEditing> {
    const info = await formInfo(opening.kind);
    const shape = opening.shape ?? ((field: FieldInfo) => field);
    const wanted = opening.only?.flatMap((name) => info.fields.filter((field) => field.name === name)) ?? info.fields;
    const fields = wanted.map(shape);
    const zone = opening.record?.zone ?? (info.home === "zone" ? (opening.within ?? "") : "");
    return new RecordEditing(opening, info, fields, await referencesFor(fields, zone));
  }

  /** Saves; the problem is kept to be shown when it is refused. */
  async save(): Promise<RecordView | undefined> {
    this.saving = true;
    try {
      const { kind, within, record, given = {} } = this.#opening;
      const fields = changedFields(this.fields, this.#before, this.draft.values);
      const hidden = Object.entries(given).filter(([name]) => !this.fields.some((field) => field.name === name));
      const saved = record
        ? await act("record.edit", { id: record.id, fields })
        : await act("record.add", { kind, ...(within ? { within } : {}), fields: { ...Object.fromEntries(hidden), ...fields } });
      this.problem = undefined;
      this.draft.clear();
      return saved;
    } catch (thrown) {
      this.problem = Refusal.from(thrown);
      return undefined;
    } finally {
      this.saving = false;
    }
  }
}
