/** A corner of a card, in pixels of the upright photo. */
export type Corner = [number, number];

/** Corners as percent of the photo's width and height. */
export function asShares(corners: readonly Corner[], width: number, height: number): Corner[] {
  return corners.map(([x, y]) => [(100 * x) / Math.max(1, width), (100 * y) / Math.max(1, height)]);
}

/** A corner brought back into the photo. */
export function kept([x, y]: Corner, width: number, height: number): Corner {
  const within = (value: number, most: number) => Math.min(most, Math.max(0, Math.round(value * 10) / 10));
  return [within(x, width), within(y, height)];
}

/** Where the corners stand before anybody moved them: in the middle half. */
export function begun(width: number, height: number): Corner[] {
  return [
    [0.3 * width, 0.3 * height],
    [0.7 * width, 0.3 * height],
    [0.7 * width, 0.7 * height],
    [0.3 * width, 0.7 * height],
  ];
}
