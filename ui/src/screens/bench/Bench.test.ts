import { fireEvent, render, screen, waitFor } from "@testing-library/svelte";
import { beforeEach, expect, it } from "vitest";

import { Refusal, useBackend } from "../../backend";
import { FakeBackend } from "../../backend/fake";
import type { CalcOutcome, CalculationInfo } from "../../generated/types";
import { text, useLocale } from "../../text";
import Bench from "./Bench.svelte";

const SCALE: CalculationInfo = {
  id: "acidity-scale",
  title: "pH in water to pH in calcium chloride and back",
  inputs: [
    { name: "ph", about: "the reading, 1:5", kind: "number", unit: "pH", least: 0, greatest: 14, words: [], members: [], required: true, default: null, default_source: null },
    { name: "from", about: "the scale it was read on", kind: "word", unit: "", least: null, greatest: null, words: ["water", "cacl2"], members: [], required: true, default: null, default_source: null },
  ],
  outputs: [{ name: "ph", unit: "pH", about: "pH on the other scale" }],
  sources: [],
};

const ANSWER: CalcOutcome = {
  id: "acidity-scale",
  result: [{ name: "ph", value: { value: 5.4, unit: "pH" } }],
  working: {
    inputs: [{ name: "reading", value: 6, unit: "pH", origin: "given", why: "" }],
    equation: ["pHCa = pHw - 0.6"],
    steps: [],
    sources: [{ key: "conyers-davey-1988", citation: "Conyers and Davey 1988", caveat: "" }],
    cautions: [],
    caveat: "",
  },
  sources: [],
  cautions: ["Mind the salt."],
};

let backend: FakeBackend;
beforeEach(() => {
  localStorage.clear();
  useLocale("en-GB");
  backend = new FakeBackend({
    "calc.list": () => [SCALE],
    "calc.run": ({ inputs }) => {
      if (inputs.ph === undefined) throw new Refusal({ code: "missing-input", message: "ph is missing", field: "ph" });
      return ANSWER;
    },
  });
  useBackend(backend);
});

it("a calculation is found by what it answers", async () => {
  render(Bench, { steps: [] });
  await screen.findByText(SCALE.title);
  await fireEvent.input(screen.getByLabelText(text.bench.search), { target: { value: "other scale" } });
  expect(screen.queryByText(SCALE.title)).not.toBeNull();
  await fireEvent.input(screen.getByLabelText(text.bench.search), { target: { value: "gypsum" } });
  expect(screen.queryByText(SCALE.title)).toBeNull();
  screen.getByText(text.bench.none("gypsum"));
});

it("the form is made from the inputs, and the answer shows its working and cautions", async () => {
  render(Bench, { steps: ["acidity-scale"] });
  await fireEvent.input(await screen.findByLabelText("The reading, 1:5"), { target: { value: "6,0" } });
  await fireEvent.click(screen.getByLabelText("water"));
  await fireEvent.click(screen.getByText(text.bench.run));
  await screen.findByText("pHCa = pHw - 0.6");
  screen.getByText("Conyers and Davey 1988");
  screen.getByText("Mind the salt.");
  expect(backend.asked.at(-1)).toEqual({
    name: "calc.run",
    request: { id: "acidity-scale", inputs: { ph: { value: 6, unit: "pH" }, from: "water" } },
  });
});

it("a refusal stands at its field, the field has the focus, and nothing typed is lost", async () => {
  render(Bench, { steps: ["acidity-scale"] });
  await fireEvent.click(await screen.findByLabelText("cacl2"));
  await fireEvent.click(screen.getByText(text.bench.run));
  const input = screen.getByLabelText("The reading, 1:5");
  await waitFor(() => expect(input.getAttribute("aria-invalid")).toBe("true"));
  expect(document.activeElement).toBe(input);
  expect((screen.getByLabelText("cacl2") as HTMLInputElement).checked).toBe(true);
});

it("a list that could not be read says so", async () => {
  useBackend(new FakeBackend({}));
  render(Bench, { steps: [] });
  expect((await screen.findByRole("alert")).textContent).toContain(text.problem.title["not-found"]);
});
