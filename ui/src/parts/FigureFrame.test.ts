import { fireEvent, render, screen } from "@testing-library/svelte";
import { expect, it } from "vitest";

import FigureFrame from "./FigureFrame.svelte";

const figure = {
  svg: `<svg xmlns="http://www.w3.org/2000/svg" class="sb-fig" tabindex="0" role="img"><script>globalThis.broken = true</script>
    <g class="sb-mark" data-mark="1" data-readout="Second: 44 mg/kg" data-row="1" data-id="b"><circle r="3"/></g>
    <g class="sb-mark" data-mark="0" data-readout="First: 21 mg/kg" data-row="0" data-id="a"><circle r="3"/></g></svg>`,
  title: "Potassium",
  description: "Two readings.",
  table: { caption: "Readings", headings: ["Day", "Value"], rows: [["12 Sep", "21"], ["8 Apr", "44"]] },
};

it("marks are walked in reading order by keyboard, read out, and chosen", async () => {
  const chosen: string[] = [];
  const { container } = render(FigureFrame, { figure, chosen: (id) => chosen.push(id) });
  const svg = container.querySelector("svg.sb-fig")!;
  await fireEvent.keyDown(svg, { key: "ArrowRight" });
  screen.getByText(/First: 21 mg\/kg/);
  await fireEvent.keyDown(svg, { key: "ArrowRight" });
  screen.getByText(/Second: 44 mg\/kg/);
  await fireEvent.keyDown(svg, { key: "Enter" });
  expect(chosen).toEqual(["b"]);
  expect(container.querySelectorAll(".sb-at").length).toBe(1);
  await fireEvent.keyDown(svg, { key: "Escape" });
  expect(container.querySelectorAll(".sb-at").length).toBe(0);
});

it("the same rows stand in a table, and nothing in a drawing can act", () => {
  const { container } = render(FigureFrame, { figure });
  expect(container.querySelectorAll("tbody tr").length).toBe(2);
  expect(container.querySelector("svg.sb-fig script")).toBeNull();
  expect("broken" in globalThis).toBe(false);
});
