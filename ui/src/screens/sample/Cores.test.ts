import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { RecordView } from "../../generated/types";
import { text } from "../../text";
import Cores from "./Cores.svelte";

const RECORD: RecordView = {
  id: "c",
  kind: "core",
  title: "Core",
  property: "",
  zone: "z",
  fields: [],
  missing: [],
  conflicting: [],
  voided: null,
  made: null,
};
const core = (number: number, set_aside = false) => ({ id: `c${number}`, number, set_aside, reason: set_aside ? "wet hole" : "", depth_mm: null, east: null, north: null });

it("one press records one core, even when the thumb comes down twice", async () => {
  let finish = (_: RecordView): void => {};
  const backend = new FakeBackend({ "record.add": () => new Promise((done) => (finish = done)) });
  useBackend(backend);
  render(Cores, { sample: "s", zone: "z", cores: [core(1), core(2, true)], wanted: 9 });
  screen.getByText(text.sample.of(9));
  const keep = screen.getByText(text.sample.keep(3));
  await fireEvent.click(keep);
  await fireEvent.click(keep);
  finish(RECORD);
  await waitFor(() => expect((keep as HTMLButtonElement).disabled).toBe(false));
  expect(backend.asked).toEqual([
    { name: "record.add", request: { kind: "core", within: "z", fields: { sample: "s", number: 3 } } },
  ]);
});

it("a core is set aside with its reason in two presses", async () => {
  const backend = new FakeBackend({ "record.add": () => RECORD });
  useBackend(backend);
  render(Cores, { sample: "s", zone: "z", cores: [], wanted: 0 });
  await fireEvent.click(screen.getByText(text.sample.aside));
  await fireEvent.click(screen.getByText("wet hole"));
  await waitFor(() =>
    expect(backend.asked[0]?.request).toEqual({
      kind: "core",
      within: "z",
      fields: { sample: "s", number: 1, set_aside: true, reason: "wet hole" },
    }),
  );
});

it("a refusal is shown and the count stays", async () => {
  useBackend(
    new FakeBackend({
      "record.add": () => {
        throw new Refusal({ code: "disk-full", message: "the disk is full" });
      },
    }),
  );
  render(Cores, { sample: "s", zone: "z", cores: [core(1)], wanted: 9 });
  await fireEvent.click(screen.getByText(text.sample.keep(2)));
  expect((await screen.findByRole("alert")).textContent).toContain("the disk is full");
});
