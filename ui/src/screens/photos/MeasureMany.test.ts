import { fireEvent, render, screen } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { MeasuredMany, PhotoLine, Says } from "../../generated/types";
import { undo } from "../../state/undo.svelte";
import { text, useLocale } from "../../text";
import MeasureMany from "./MeasureMany.svelte";
import { USUAL } from "./usual";

const line = (id: string, is_earlier: boolean, is_measured = true) => ({ id, is_earlier, is_measured }) as PhotoLine;
const says = (index: number | null, cover: number, is_evidence: boolean, why_not: string[] = []): Says => ({ algorithm: "", card: "chart", index, cover, is_evidence, why_not });

const OUTCOME: MeasuredMany = {
  photos: [
    { photo: "p1", name: "early.jpg", date: "2026-08-01", zone_name: "", measurement: "m1", then: says(0.412, 0.8, true), now: says(0.414, 0.8, true) },
    { photo: "p2", name: "late.jpg", date: "", zone_name: "", measurement: "m2", then: says(null, 0.02, true), now: says(null, 0.02, false, ["too dark"]) },
  ],
  without: [{ photo: "p3", name: "far.jpg", date: "", zone_name: "", why: "not on this device yet" }],
  left: 1,
};

let backend: FakeBackend;
let settle: (outcome: MeasuredMany) => void;
beforeEach(() => {
  useLocale("en-GB");
  undo.clear();
  backend = new FakeBackend({ "photo.measure_many": () => new Promise((resolve) => (settle = resolve)) });
  useBackend(backend);
});

it("nothing is offered where every photo was measured by today's way", () => {
  const { container } = render(MeasureMany, { zone: "z", lines: [line("p1", false)] });
  expect(container.textContent?.trim()).toBe("");
});

it("the zone's photos are measured again in one act, with how far it is, a stop and what changed", async () => {
  render(MeasureMany, { zone: "z", lines: [line("p1", true), line("p2", true), line("p3", false)] });
  screen.getByText(text.photo.earlierWay(2));
  await fireEvent.click(screen.getByText(text.photo.again(2)));
  backend.progress({ step: "measuring", part: "photos", done: 1, all: 4, seconds_left: null, can_stop: true });
  await screen.findByText("1 of 4 photos");
  await fireEvent.click(screen.getByText(text.progress.stop));
  expect(backend.stops).toBe(1);
  settle(OUTCOME);
  await screen.findByText(new RegExp(text.photo.againLeft(1)));
  expect(backend.asked).toEqual([{ name: "photo.measure_many", request: { ...USUAL, zone: "z", again: true } }]);
  screen.getByText("0.414, was 0.412");
  screen.getByText("80 %, as before");
  screen.getByText(`${text.photo.evidenceGone}: too dark`);
  screen.getByText(text.photo.asBefore(text.photo.nothing));
  expect(screen.getByText("far.jpg").parentElement?.textContent).toContain("not on this device yet");
  expect([undo.said, undo.offered]).toEqual([text.photo.againDone(2), true]);
});

it("where none could be measured nothing is offered to be taken back", async () => {
  render(MeasureMany, { zone: "z", lines: [line("p3", true)] });
  await fireEvent.click(screen.getByText(text.photo.again(1)));
  settle({ ...OUTCOME, photos: [], left: 0 });
  await screen.findByText(text.photo.measuredNone);
  expect(undo.offered).toBe(false);
});

it("photos not measured yet are measured in one act, and their values stand alone", async () => {
  render(MeasureMany, { zone: "z", lines: [line("p1", false, false), line("p2", false)] });
  await fireEvent.click(screen.getByText(text.photo.measureAll(1)));
  settle({ photos: [{ ...OUTCOME.photos[0]!, then: null }], without: [], left: 0 });
  await screen.findByText(text.photo.measuredDone(1));
  screen.getByText("0.414");
  screen.getByText(text.photo.evidence);
  expect(backend.asked[0]?.request).toEqual({ ...USUAL, zone: "z", again: false });
  expect(undo.said).toBe(text.photo.measuredDone(1));
});
