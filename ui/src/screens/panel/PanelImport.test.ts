import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { ImportOutcome, PreviewSample, PreviewView, Progress } from "../../generated/types";
import { text, useLocale } from "../../text";
import PanelImport from "./PanelImport.svelte";

const sample = (at: number): PreviewSample => ({
  label: `S${at}`,
  number: "",
  property: "",
  zone: "",
  sampled: null,
  reported: null,
  from_mm: null,
  to_mm: null,
  remarks: "",
  readings: [],
  matches: `sample-${at}`,
});
const PREVIEW: PreviewView = {
  file: "panel.csv",
  form: "text",
  laboratory: "",
  samples: Array.from({ length: 45 }, (_, at) => sample(at)),
  unread: [],
  ignored: [],
  questions: [],
  cells: 90,
  reading_cells: 90,
};
const OUTCOME: ImportOutcome = {
  panels: PREVIEW.samples.map(({ label }) => ({ panel: `panel-${label}`, sample: label, made_sample: false, zone: "z", label, readings: 2 })),
  skipped: [],
  file: "hash",
  preview: PREVIEW,
};
const placing = (done: number, seconds_left: number | null): Progress => ({ step: "placing", part: "rows", done, all: 4000, seconds_left, can_stop: true });

let backend: FakeBackend;
let settle: { resolve: (outcome: ImportOutcome) => void; reject: (problem: Refusal) => void };

beforeEach(async () => {
  localStorage.clear();
  useLocale("en-GB");
  backend = new FakeBackend({
    "laboratory.list": () => [],
    "zone.list": () => [],
    today: () => ({ today: "2026-03-02", due: [], more: 0, zones: 1, clear_zones: 0 }),
    "panel.preview": () => PREVIEW,
    "panel.import": () => new Promise((resolve, reject) => (settle = { resolve, reject })),
  });
  useBackend(backend);
  render(PanelImport, { steps: [] });
  backend.drop(["/panel.csv"]);
  await fireEvent.click(await screen.findByText(text.panel.take));
});

it("the share that is taken in is shown with its rows, and the time once it is known", async () => {
  backend.progress(placing(1000, null));
  await screen.findByText("1,000 of 4,000 rows");
  expect(screen.getByRole("progressbar")).toHaveProperty("value", 0.25);
  backend.progress(placing(2000, 12));
  await screen.findByText("2,000 of 4,000 rows \u00b7 about 12 s left");
  expect(screen.getByRole("progressbar")).toHaveProperty("value", 0.5);
});

it("stopping is asked once, says that nothing was taken in, and keeps what was chosen", async () => {
  backend.progress(placing(1000, null));
  await fireEvent.click(await screen.findByText(text.progress.stop));
  expect(backend.stops).toBe(1);
  expect((screen.getByText(text.progress.stopping) as HTMLButtonElement).disabled).toBe(true);
  settle.reject(new Refusal({ code: "cancelled", message: "stopped" }));
  await screen.findByText(text.panel.stopped);
  expect(screen.queryByRole("alert")).toBeNull();
  // The file is still there to be taken in.
  await fireEvent.click(screen.getByText(text.panel.take));
  await waitFor(() => expect(backend.asked.filter(({ name }) => name === "panel.import")).toHaveLength(2));
});

it("the last step says that it cannot be stopped, and a stop that came too late is said", async () => {
  backend.progress(placing(4000, null));
  await fireEvent.click(await screen.findByText(text.progress.stop));
  backend.progress({ step: "keeping", part: "whole", done: 0, all: 0, seconds_left: null, can_stop: false });
  await screen.findByText(text.progress.tooLate);
  expect(screen.queryByText(text.progress.stop)).toBeNull();
  settle.resolve(OUTCOME);
  await screen.findByText(text.panel.notStopped);
});

it("of many panels a page is shown, and the rest when it is asked for", async () => {
  settle.resolve(OUTCOME);
  await screen.findByText(text.panel.takenLine("S19", 2));
  expect(screen.queryByText(text.panel.takenLine("S20", 2))).toBeNull();
  await fireEvent.click(screen.getByText(text.few.more("20")));
  await screen.findByText(text.panel.takenLine("S39", 2));
  await fireEvent.click(screen.getByText(text.few.more("5")));
  await screen.findByText(text.panel.takenLine("S44", 2));
  expect(screen.queryByText(text.few.more("5"))).toBeNull();
});
