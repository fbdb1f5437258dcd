import { expect, it } from "vitest";

import { atLength, between, gridStep, holds, moved, onStep, squared, viewOf } from "./geometry";

const at = (east: number, north: number) => ({ east, north });
const length = (one: { east: number; north: number }, other: { east: number; north: number }) =>
  Math.hypot(one.east - other.east, one.north - other.north);

it("a spot is rounded to the step, with no tail and no minus nought", () => {
  expect(onStep(at(12.3456, -0.04), 0.1)).toEqual(at(12.3, 0));
  expect(moved(at(0.1, 0.2), 0.2, 0.1)).toEqual(at(0.3, 0.3));
});

it("a side that is nearly square to the one before is made so, and keeps a whole length", () => {
  // From (10, 0) after a side to the east: north, a little crooked.
  expect(squared(at(10, 0), at(0, 0), at(10.4, 7.03), 0.1)).toEqual(at(10, 7));
  // Straight on.
  expect(squared(at(10, 0), at(0, 0), at(15.02, 0.3), 0.1)).toEqual(at(15, 0));
  // Far from any right angle it ends where it points.
  expect(squared(at(10, 0), at(0, 0), at(14.02, 3.01), 0.1)).toEqual(at(14, 3));
  // The first side is set against east and north.
  expect(squared(at(1, 1), undefined, at(1.1, 6.04), 0.1)).toEqual(at(1, 6));
});

it("square is square to an oblique side too", () => {
  const [a, b] = [at(0, 0), at(3, 4)];
  const c = squared(b, a, at(-1.1, 7.1), 0.1);
  // The scalar product of two sides at a right angle is nought.
  const product = (b.east - a.east) * (c.east - b.east) + (b.north - a.north) * (c.north - b.north);
  expect(Math.abs(product)).toBeLessThan(1e-4);
  expect(length(b, c)).toBeCloseTo(5.1, 4);
});

it("a typed length is kept in the direction one draws", () => {
  expect(atLength(at(1, 1), at(4, 5), 10)).toEqual(at(7, 9));
  expect(atLength(at(1, 1), at(1, 1), 3)).toEqual(at(4, 1));
});

it("a corner is put half-way along a side", () => {
  expect(between(at(0, 0), at(5, 1), 0.1)).toEqual(at(2.5, 0.5));
});

it("a view holds what it is made of, and is no smaller than a small lawn", () => {
  const spots = [at(-3, 2), at(60, 80), at(10, -5)];
  const view = viewOf(spots);
  expect(spots.every((spot) => holds(view, spot))).toBe(true);
  expect(viewOf([]).width).toBe(20);
  expect(holds(viewOf([]), at(11, 0))).toBe(false);
});

it("grid lines stand a round number of units apart, a dozen at most", () => {
  for (const width of [20, 33, 47, 100, 260, 1900]) {
    for (const unit of [1, 0.3048]) {
      const view = { west: 0, south: 0, width, height: width };
      const step = gridStep(view, unit);
      expect(width / step).toBeLessThanOrEqual(12.001);
      expect(width / step).toBeGreaterThan(4);
      const digits = (step / unit).toExponential(6);
      expect(digits).toMatch(/^[125]\.000000e/);
    }
  }
});
