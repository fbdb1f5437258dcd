import { expect, it } from "vitest";

import type { InputInfo } from "../../generated/types";
import { below, emptyForm, inputsOf, problemAt } from "./form";

function input(name: string, kind: string, more: Partial<InputInfo> = {}): InputInfo {
  return {
    name,
    about: name,
    kind,
    unit: "",
    least: null,
    greatest: null,
    words: [],
    members: [],
    required: true,
    default: null,
    default_source: null,
    ...more,
  };
}

it("inputs cross with their units and without what was left empty", () => {
  const inputs = [
    input("area", "number", { unit: "m2" }),
    input("depth", "number", { unit: "mm" }),
    input("ph", "number"),
    input("cores", "count"),
    input("from", "word", { words: ["water"] }),
    input("values", "numbers", { unit: "mg/kg" }),
    input("wet", "flag"),
    input("left", "text"),
  ];
  const form = emptyForm(inputs);
  form.area = { ...form.area!, text: "0,5", unit: "ha" };
  form.depth!.text = "100";
  form.ph!.text = "five";
  form.cores!.text = "9";
  form.from!.text = "water";
  form.values!.text = "12,5; 14\n13.1";
  expect(inputsOf(form, inputs)).toEqual({
    area: { value: 0.5, unit: "ha" },
    depth: { value: 100, unit: "mm" },
    // As typed: the core says what is wrong with it and names the field.
    ph: "five",
    cores: 9,
    from: "water",
    values: { value: [12.5, 14, 13.1], unit: "mg/kg" },
    wet: false,
  });
});

it("rows with nothing in them are no rows", () => {
  const rows = input("feeds", "rows", { members: [input("date", "date"), input("note", "text", { required: false })] });
  const form = emptyForm([rows]);
  expect(inputsOf(form, [rows])).toEqual({});
  form.feeds!.rows[0]!.date!.text = "2026-06-16";
  expect(inputsOf(form, [rows])).toEqual({ feeds: [{ date: "2026-06-16" }] });
});

it("a problem finds its input and its row", () => {
  expect(problemAt("feeds[1].date", "feeds")).toBe(true);
  expect(problemAt("feed", "feeds")).toBe(false);
  expect(below("feeds[1].date", "feeds", 1)).toBe("date");
  expect(below("feeds[1].date", "feeds", 0)).toBeNull();
});
