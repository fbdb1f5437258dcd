import { afterEach, describe, expect, it } from "vitest";

import { dayForm, decimalMark, sayDays, monthGrid, plusDays, plusMonths, readDay, sayDay, useLocale } from ".";

afterEach(() => useLocale(undefined));

describe("a day as typed", () => {
  it.each([
    ["2026-09-14", "2026-09-14"],
    ["14 Sep 2026", "2026-09-14"],
    ["Sep 14, 2026", "2026-09-14"],
    ["14. September 2026", "2026-09-14"],
    ["sept 14 2026", "2026-09-14"],
    ["25/12/2026", "2026-12-25"],
    ["12/25/2026", "2026-12-25"],
    ["4/4/2026", "2026-04-04"],
  ])("%s is read", (typed, day) => {
    expect(readDay(typed, "2026-06-01")).toEqual({ kind: "day", day });
  });

  it("in numbers that two countries read apart is not guessed", () => {
    expect(readDay("03/04/2026")).toEqual({ kind: "ambiguous" });
  });

  it("without a year is the nearest one", () => {
    expect(readDay("30 Dec", "2026-01-05")).toEqual({ kind: "day", day: "2025-12-30" });
    expect(readDay("2 Jan", "2026-12-30")).toEqual({ kind: "day", day: "2027-01-02" });
    expect(readDay("29 Feb", "2027-11-01")).toEqual({ kind: "day", day: "2028-02-29" });
  });

  it.each(["31 Feb 2026", "2026-13-01", "next week", "14", "14 xyz 2026"])("%s is none", (typed) => {
    expect(readDay(typed, "2026-06-01")).toEqual({ kind: "not-a-day" });
  });

  it("takes the months of the reader's language", () => {
    useLocale("de-DE");
    expect(readDay("3 März 2026")).toEqual({ kind: "day", day: "2026-03-03" });
  });
});

it("a day is shown with its month in letters, in every locale", () => {
  for (const locale of ["en-AU", "en-US", "de-DE", "fr-FR"]) {
    useLocale(locale);
    expect(sayDay("2026-04-03")).toMatch(/\p{L}{3}/u);
  }
  useLocale("en-GB");
  expect(sayDay("2026-04-03")).toBe("3 Apr 2026");
});

it("a sentence of the core has its days in the reader's way, and nothing else changed", () => {
  useLocale("en-GB");
  expect(sayDays("Clear since 2026-09-14: 12-34 of 2026-13-99.")).toBe("Clear since 14\u00a0Sept\u00a02026: 12-34 of 2026-13-99.");
  expect(sayDays("20 g/m2 on 184 m2, 4 lb/1000 ft2")).toBe("20 g/m² on 184 m², 4 lb/1000 ft²");
  expect(sayDays("panel m2")).toBe("panel m2");
});

it("figures are told how days are written here", () => {
  useLocale("en-GB");
  expect(dayForm().date_order).toBe("day-month-year");
  expect(dayForm().months[8]).toBe("Sept");
  useLocale("en-US");
  expect(dayForm().date_order).toBe("month-day-year");
  expect(dayForm().months[8]).toBe("Sep");
  useLocale("de-DE");
  expect(decimalMark()).toBe(",");
  useLocale("en-GB");
});

it("days and months are counted by the calendar", () => {
  expect(plusDays("2026-02-28", 1)).toBe("2026-03-01");
  expect(plusMonths("2026-01-31", 1)).toBe("2026-02-28");
  expect(plusMonths("2028-03-31", -1)).toBe("2028-02-29");
  // 1 September 2026 is a Tuesday, so the first row begins on the Monday before.
  expect(monthGrid("2026-09-14")[0]![0]).toBe("2026-08-31");
});
