import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { ClaimView, PlaceApart } from "../../generated/types";
import { text, useLocale } from "../../text";
import Decide from "./Decide.svelte";

function claim(value: number, device: string, shown: boolean): ClaimView {
  return { value, text: `${value} m²`, stamp: null, shown };
}

const TERRACE: PlaceApart = {
  within: "z1",
  name: "Back terrace",
  conflicts: [{ id: "z1", kind: "zone", field: "area", claims: [claim(120, "phone", true), claim(140, "office", false)] }],
  left_behind: [{ zone: "z2", into: "z1", into_name: "Back terrace", records: 3 }],
};

let backend: FakeBackend;
let places: PlaceApart[];

beforeEach(() => {
  useLocale("en-GB");
  places = [TERRACE];
  backend = new FakeBackend({
    "record.apart": () => places,
    "record.forms": () => [],
    "record.choose": () => {
      throw new Refusal({ code: "refused", message: "somebody chose meanwhile" });
    },
  });
  useBackend(backend);
});

const asked = (name: string) => backend.asked.filter((one) => one.name === name).map((one) => one.request);

it("both values stand side by side, and the one taken is passed on by its place", async () => {
  render(Decide, {});
  await screen.findByText("Back terrace");
  screen.getByText("120 m²");
  await fireEvent.click(screen.getByRole("button", { name: `${text.record.take}: 140 m²` }));
  await waitFor(() => expect(asked("record.choose")).toEqual([{ id: "z1", field: "area", claim: 1 }]));
  // A refusal is said, and nothing that was to be decided goes away.
  await screen.findByText(/somebody chose meanwhile/);
  screen.getByText("120 m²");
});

it("a field that no form names is called by its own name", async () => {
  render(Decide, {});
  await screen.findByText(text.decide.conflict("area", "zone"));
});

it("records left behind on a merged zone are counted and taken over into the right one", async () => {
  render(Decide, {});
  await screen.findByText(text.decide.left(3));
  await fireEvent.click(screen.getByRole("button", { name: text.decide.takeOver }));
  await waitFor(() => expect(asked("zone.merge")).toEqual([{ zone: "z2", into: "z1" }]));
});

it("nothing to decide is said as such", async () => {
  places = [];
  render(Decide, {});
  await screen.findByText(text.decide.none);
});
