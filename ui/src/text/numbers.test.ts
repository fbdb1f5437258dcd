import { afterEach, describe, expect, it } from "vitest";

import { readNumber, sayNumber, sayQuantity, sayUnit, useLocale } from ".";

afterEach(() => useLocale(undefined));

describe("a number as typed", () => {
  // The same cases as core/units/src/number.rs, so that both sides read alike.
  it.each([
    ["5.2", 5.2],
    ["5,2", 5.2],
    ["−0,5", -0.5],
    ["1 234,5", 1234.5],
    ["1,234.5", 1234.5],
    ["1.234,5", 1234.5],
    ["0,123", 0.123],
    [".5", 0.5],
    ["1e3", 1000],
    ["+7", 7],
    ["1'234.5", 1234.5],
  ])("%s is read", (typed, value) => {
    expect(readNumber(typed)).toEqual({ kind: "number", value });
  });

  it("that can be read two ways is not guessed", () => {
    expect(readNumber("1,234")).toEqual({ kind: "ambiguous" });
  });

  it.each(["five", "1.2.3", "1,23,4.5", "-", "5 kg", "."])("%s is none", (typed) => {
    expect(readNumber(typed)).toEqual({ kind: "not-a-number" });
  });

  it("may be left empty", () => {
    expect(readNumber("  ")).toEqual({ kind: "empty" });
  });
});

describe("a number as shown", () => {
  it("follows the reader's locale", () => {
    useLocale("de-DE");
    expect(sayNumber(1234.56)).toBe("1.235");
    expect(sayNumber(0.05678)).toBe("0,05678");
    useLocale("en-AU");
    expect(sayNumber(1234.56, 6)).toBe("1,234.56");
  });

  it("keeps its unit on the same line, exponents raised", () => {
    useLocale("en-AU");
    expect(sayQuantity({ value: 20, unit: "g/m2" })).toBe("20\u00a0g/m²");
    expect(sayQuantity({ value: 5.4, unit: "pH" })).toBe("pH\u00a05.4");
    expect(sayUnit("US gal/1000 ft2")).toBe("US gal/1000 ft²");
    expect(sayUnit("t/m3")).toBe("t/m³");
  });
});
