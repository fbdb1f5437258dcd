import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { OutlineRequest, OutlineView, PlanSpot, RecordView } from "../../generated/types";
import { keepDrafts } from "../../state/drafts.svelte";
import { text, useLocale, useUnits } from "../../text";
import Draw from "./Draw.svelte";

const RECORD = { id: "z", kind: "zone", title: "Zone", property: "p", zone: "z", fields: [], missing: [], conflicting: [], voided: null, made: null } satisfies RecordView;

/** As the core names them. */
const LENGTHS = [{ unit: "m", metres: 1 }, { unit: "ft", metres: 0.3048 }];

let kept: PlanSpot[];
let crossed: string;

/** Answers as the core does, but for what it makes of the corners, which its own tests check. */
function outline(asked: OutlineRequest): OutlineView {
  const corners = asked.corners ?? kept;
  const count = corners.length < 3 ? Math.max(0, corners.length - 1) : corners.length;
  const isShape = corners.length > 2 && !crossed;
  return {
    zone: "z",
    name: "Back terrace",
    corners,
    sides: Array.from({ length: count }, (_, at) => {
      const [from, to] = [corners[at]!, corners[(at + 1) % corners.length]!];
      return Math.hypot(from.east - to.east, from.north - to.north);
    }),
    area_m2: isShape ? 60 : null,
    problem: crossed || (corners.length > 2 ? "" : "place one corner more"),
    outline: isShape ? `metres ${corners.map((one) => `${one.east},${one.north}`).join(" ")}` : "",
    holes: [],
    measured_m2: null,
    others: [],
  };
}

let backend: FakeBackend;
beforeEach(() => {
  localStorage.clear();
  useLocale("en-GB");
  useUnits([], LENGTHS);
  kept = [];
  crossed = "";
  location.hash = "#/draw/z";
  backend = new FakeBackend({ "zone.outline": outline, "record.edit": () => RECORD });
  useBackend(backend);
});

async function board(): Promise<HTMLElement> {
  render(Draw, { steps: ["z"] });
  return await screen.findByRole("application", { name: text.draw.board });
}

/** Presses keys one after another; a number before a name repeats it. */
async function press(on: HTMLElement, ...keys: string[]): Promise<void> {
  for (const one of keys) {
    const [, times = "1", shift, name = ""] = /^(\d*)(\^?)(\D+)$/.exec(one) ?? [];
    for (let at = 0; at < Number(times || 1); at += 1) await fireEvent.keyDown(on, { key: name, shiftKey: shift === "^" });
  }
}

const lastCorners = () => (backend.asked.filter(({ name }) => name === "zone.outline").at(-1)?.request as OutlineRequest).corners ?? [];
const saved = () => backend.asked.filter(({ name }) => name === "record.edit").map(({ request }) => request);

it("a rectangle is drawn by keys alone, and kept as the record keeps entered corners", async () => {
  const on = await board();
  // Four metres east, three north, four west; Shift goes a metre at a time.
  await press(on, "Enter", "4^ArrowRight", "Enter", "3^ArrowUp", "Enter", "4^ArrowLeft", "Enter", "Enter");
  await screen.findByText(text.draw.area("60 m²"), { selector: "b" });
  await waitFor(() => expect((screen.getByText(text.draw.save) as HTMLButtonElement).disabled).toBe(false));
  await fireEvent.click(screen.getByText(text.draw.save));
  await waitFor(() => expect(saved()).toHaveLength(1));
  const [{ fields }] = saved() as [{ fields: { outline: string } }];
  const corners = fields.outline.replace("metres ", "").split(" ").map((pair) => pair.split(",").map(Number));
  const [first] = corners as [[number, number]];
  expect(corners.map(([east, north]) => [Number((east! - first[0]).toFixed(6)), Number((north! - first[1]).toFixed(6))])).toEqual([[0, 0], [4, 0], [4, 3], [0, 3]]);
});

it("the side in hand says its length at every press, in the reader's own unit", async () => {
  useUnits([{ unit: "m", shown: "ft", factor: 1 / 0.3048, offset: 0 }, { unit: "m2", shown: "ft2", factor: 10.763910417, offset: 0 }], LENGTHS);
  const on = await board();
  await press(on, "Enter", "3ArrowRight");
  // One press is one foot.
  await screen.findByText(text.draw.side(1, "3 ft"));
});

it("a typed length counts in the direction in which one draws", async () => {
  const on = await board();
  await press(on, "Enter", "2ArrowUp");
  await fireEvent.input(await screen.findByLabelText(text.draw.typed(1)), { target: { value: "7,5" } });
  await fireEvent.click(screen.getByText(text.draw.place));
  await waitFor(() => expect(lastCorners().length).toBeGreaterThan(1));
  const [from, to] = lastCorners() as [PlanSpot, PlanSpot];
  expect([to.east - from.east, to.north - from.north]).toEqual([0, 7.5]);
});

it("a length typed in another unit is as long as the core says that unit is", async () => {
  useUnits([{ unit: "m", shown: "ft", factor: 1 / 0.3048, offset: 0 }], [{ unit: "ft", metres: 2 }]);
  const on = await board();
  await press(on, "Enter", "2ArrowUp");
  await fireEvent.input(await screen.findByLabelText(text.draw.typed(1)), { target: { value: "3" } });
  await fireEvent.click(screen.getByText(text.draw.place));
  await waitFor(() => expect(lastCorners().length).toBeGreaterThan(1));
  const [from, to] = lastCorners() as [PlanSpot, PlanSpot];
  expect(to.north - from.north).toBeCloseTo(6);
});

it("Backspace takes the last corner back, Undo brings it again, and leaving keeps what was drawn", async () => {
  const on = await board();
  await press(on, "Enter", "^ArrowRight", "Enter", "^ArrowUp", "Enter");
  await screen.findByRole("button", { name: text.draw.corner(3, 3) });
  // The pointer's place goes back too: the next side begins where the last corner is now.
  await press(on, "^ArrowUp", "Backspace", "ArrowLeft");
  expect(screen.queryByRole("button", { name: text.draw.corner(3, 3) })).toBeNull();
  await screen.findByText(text.draw.side(2, "0.1 m"), { exact: false });
  await fireEvent.click(screen.getByText(text.draw.undo));
  await screen.findByRole("button", { name: text.draw.corner(3, 3) });
  keepDrafts();
  await press(on, "Escape");
  expect(location.hash).toBe("#/zone/z");
  expect(localStorage.getItem("draft:draw/z")).toContain("isClosed");
});

it("a corner of a shape that is there is moved and deleted by keys", async () => {
  kept = [{ east: 0, north: 0 }, { east: 10, north: 0 }, { east: 10, north: 6 }, { east: 0, north: 6 }];
  await board();
  const corner = await screen.findByRole("button", { name: text.draw.corner(3, 4) });
  await fireEvent.focus(corner);
  await press(corner, "2ArrowRight");
  await waitFor(() => expect(lastCorners()[2]).toEqual({ east: 10.2, north: 6 }));
  await press(corner, "Delete");
  await screen.findByRole("button", { name: text.draw.corner(3, 3) });
  await waitFor(() => expect(lastCorners()).toEqual([kept[0], kept[1], kept[3]]));
});

it("a shape that crosses itself is said and cannot be kept", async () => {
  crossed = "the sides 1 and 3 cross or touch; put the corners in the order one walks them";
  kept = [{ east: 0, north: 0 }, { east: 2, north: 2 }, { east: 2, north: 0 }, { east: 0, north: 2 }];
  await board();
  await screen.findByText(/the sides 1 and 3 cross/);
  expect(screen.getByText(/the sides 1 and 3 cross/).textContent).toContain(text.draw.crossed);
  expect((screen.getByText(text.draw.save) as HTMLButtonElement).disabled).toBe(true);
});
