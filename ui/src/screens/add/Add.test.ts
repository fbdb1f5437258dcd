import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { FieldInfo, FormInfo, RecordView } from "../../generated/types";
import { keepDrafts } from "../../state/drafts.svelte";
import { text, today } from "../../text";
import Add from "./Add.svelte";

const field = (name: string, type: string, need: string, more: Partial<FieldInfo> = {}): FieldInfo => ({
  name,
  label: name.charAt(0).toUpperCase() + name.slice(1),
  about: `about ${name}`,
  type,
  unit: "",
  least: null,
  most: null,
  choices: [],
  refers_to: "",
  need,
  ...more,
});
const FORM: FormInfo = {
  kind: "observation",
  title: "Observation",
  home: "zone",
  fields: [
    field("sort", "choice", "required", { choices: ["rating", "note"] }),
    field("date", "date", "required"),
    field("what", "text", "optional"),
    field("value", "number", "optional"),
    field("rater", "text", "optional"),
    field("time", "time", "optional"),
    field("note", "lines", "optional"),
  ],
};
const RECORD = { id: "o", kind: "observation", title: "Observation", property: "p", zone: "z", fields: [], missing: [], conflicting: [], voided: null, made: null } satisfies RecordView;

let backend: FakeBackend;
beforeEach(() => {
  localStorage.clear();
  location.hash = "#/add/rating/z";
  backend = new FakeBackend({
    "record.forms": () => [FORM],
    "record.get": () => RECORD,
    "record.add": ({ fields }) => {
      if (fields.value === undefined) throw new Refusal({ code: "missing-input", message: "a rating is a number from 1 to 9", field: "value" });
      return RECORD;
    },
  });
  useBackend(backend);
});

it("a rating is recorded with a press for what, a press for how much, and save", async () => {
  render(Add, { steps: ["rating", "z"] });
  await fireEvent.click(await screen.findByLabelText("colour"));
  await fireEvent.click(screen.getByLabelText("7"));
  await fireEvent.click(screen.getByText(text.record.save));
  await waitFor(() => expect(location.hash).toBe("#/zone/z"));
  expect(backend.asked.find((one) => one.name === "record.add")?.request).toEqual({
    kind: "observation",
    within: "z",
    fields: { sort: "rating", date: today(), what: "colour", value: "7" },
  });
});

it("a refusal stands at its field and what was typed stays, even over a closed window", async () => {
  const { unmount } = render(Add, { steps: ["rating", "z"] });
  await fireEvent.click(await screen.findByLabelText("density"));
  await fireEvent.click(screen.getByText(text.record.save));
  await screen.findByText(/a rating is a number from 1 to 9/);
  keepDrafts();
  unmount();
  render(Add, { steps: ["rating", "z"] });
  await screen.findByText(text.field.restored);
  expect((screen.getByLabelText("density") as HTMLInputElement).checked).toBe(true);
});
