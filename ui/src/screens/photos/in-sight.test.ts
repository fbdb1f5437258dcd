import { describe, expect, it } from "vitest";

import { inSight, ROW } from "./in-sight";

describe("three thousand photos", () => {
  it("keep only those in sight", () => {
    for (const top of [0, 500, 12_345, 600 * ROW - 700, 1e9]) {
      const sight = inSight({ count: 3000, width: 1000, height: 700, top });
      expect(sight.columns).toBe(5);
      expect(sight.full).toBe(600 * ROW);
      expect(sight.end - sight.first).toBeLessThanOrEqual(5 * 8);
      expect(sight.above).toBe((sight.first / 5) * ROW);
    }
  });

  it("show every photo somewhere", () => {
    const seen = new Set<number>();
    for (let top = 0; top < 600 * ROW; top += 300) {
      const sight = inSight({ count: 2998, width: 1000, height: 700, top });
      for (let at = sight.first; at < sight.end; at++) seen.add(at);
    }
    expect(seen.size).toBe(2998);
  });

  it("stand two by two on a phone", () => {
    expect(inSight({ count: 3, width: 340, height: 600, top: 0 })).toMatchObject({ columns: 2, first: 0, end: 3 });
  });
});
