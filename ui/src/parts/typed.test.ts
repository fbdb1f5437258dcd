import { expect, it } from "vitest";

import type { FieldInfo, RecordView } from "../generated/types";
import { useUnits } from "../text";
import { changedFields, formOf } from "./typed";

const field = (name: string, type: string, unit = ""): FieldInfo => ({
  name,
  label: name,
  about: name,
  type,
  unit,
  least: null,
  most: null,
  choices: [],
  refers_to: "",
  need: "optional",
});
const FIELDS = [field("name", "text"), field("area", "number", "m2"), field("price", "money"), field("wet", "flag")];

const record = (fields: RecordView["fields"]): RecordView => ({
  id: "a",
  kind: "zone",
  title: "Zone",
  property: "",
  zone: "",
  fields,
  missing: [],
  conflicting: [],
  voided: null,
  made: null,
});

it("only what was changed is written, and what was emptied is taken away", () => {
  const before = formOf(
    FIELDS,
    record([
      { name: "name", label: "", value: "Back terrace", unit: "", text: "Back terrace" },
      { name: "area", label: "", value: 184, unit: "m2", text: "184 m2" },
      { name: "wet", label: "", value: true, unit: "", text: "yes" },
    ]),
  );
  const now = structuredClone(before);
  expect(changedFields(FIELDS, before, now)).toEqual({});
  now.area!.text = "0,02";
  now.area!.unit = "ha";
  now.name!.text = " ";
  now.price!.text = "38,50";
  now.wet!.on = false;
  expect(changedFields(FIELDS, before, now)).toEqual({
    name: null,
    area: { value: 0.02, unit: "ha" },
    price: 38.5,
    wet: false,
  });
});

it("amounts are typed in the reader's own unit, and one that was not changed is not written", () => {
  useUnits([{ unit: "m2", shown: "ft2", factor: 10.7639, offset: 0 }]);
  const before = formOf(FIELDS, record([{ name: "area", label: "", value: 184, unit: "m2", text: "184 m2" }]));
  expect(before.area).toMatchObject({ text: "1980.56", unit: "ft2" });
  expect(changedFields(FIELDS, before, structuredClone(before))).toEqual({});
  // What a plan hands to a form is in the unit of the records.
  expect(formOf(FIELDS, undefined, { area: "10" }).area).toMatchObject({ text: "107.639", unit: "ft2" });
  useUnits([]);
  expect(formOf(FIELDS, undefined, { area: "10" }).area).toMatchObject({ text: "10", unit: "m2" });
});

it("what is no number crosses as typed, so that the core says what is wrong", () => {
  const before = formOf(FIELDS);
  const now = structuredClone(before);
  now.area!.text = "wide";
  expect(changedFields(FIELDS, before, now)).toEqual({ area: { value: "wide", unit: "m2" } });
});
