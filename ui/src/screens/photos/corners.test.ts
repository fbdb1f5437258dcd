import { expect, it } from "vitest";

import { asShares, begun, kept } from "./corners";

it("a corner stays within the photo", () => {
  expect(kept([-5, 3000], 4000, 2000)).toEqual([0, 2000]);
  expect(kept([12.34, 56.78], 4000, 2000)).toEqual([12.3, 56.8]);
});

it("corners begin clockwise from the upper left", () => {
  expect(asShares(begun(4000, 2000), 4000, 2000)).toEqual([
    [30, 30],
    [70, 30],
    [70, 70],
    [30, 70],
  ]);
});
