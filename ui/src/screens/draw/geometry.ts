import type { PlanSpot } from "../../generated/types";

/** Directions within so many degrees of a right angle to the side before are taken for one. */
const NEARLY_RIGHT = 8;

/** Rounds to whole parts of a step, without the tail that binary fractions leave. */
function round(value: number, step: number): number {
  return Number((Math.round(value / step) * step).toFixed(6)) + 0;
}

/** A spot on the grid of so many metres. */
export function onStep(spot: PlanSpot, step: number): PlanSpot {
  return { east: round(spot.east, step), north: round(spot.north, step) };
}

/** A spot so many steps further. */
export function moved(spot: PlanSpot, east: number, north: number): PlanSpot {
  return { east: round(spot.east + east, 1e-6), north: round(spot.north + north, 1e-6) };
}

export function same(one: PlanSpot | undefined, other: PlanSpot | undefined): boolean {
  return !!one && !!other && Math.hypot(one.east - other.east, one.north - other.north) < 1e-6;
}

/**
 * Where a side drawn from a corner ends: at a right angle to the side before, or straight on from it,
 * when it points nearly there; its length then is a whole number of steps.
 *
 * @param before the corner before that one; the first side is set against east and north
 */
export function squared(from: PlanSpot, before: PlanSpot | undefined, to: PlanSpot, step: number): PlanSpot {
  const [east, north] = [to.east - from.east, to.north - from.north];
  const far = Math.hypot(east, north);
  if (far < 1e-9) return onStep(to, step);
  const base = before && !same(before, from) ? Math.atan2(from.north - before.north, from.east - before.east) : 0;
  const quarter = Math.PI / 2;
  const turn = Math.atan2(north, east) - base;
  const right = Math.round(turn / quarter) * quarter;
  const off = Math.abs(turn - right);
  if (off > (NEARLY_RIGHT * Math.PI) / 180) return onStep(to, step);
  const length = round(far * Math.cos(off), step);
  return moved(from, length * Math.cos(base + right), length * Math.sin(base + right));
}

/** The end of a side of a given length, in the direction in which it is being drawn; to the east where it has none. */
export function atLength(from: PlanSpot, towards: PlanSpot, length: number): PlanSpot {
  const [east, north] = [towards.east - from.east, towards.north - from.north];
  const far = Math.hypot(east, north);
  return far < 1e-9 ? moved(from, length, 0) : moved(from, (east / far) * length, (north / far) * length);
}

/** Half-way between two spots, on the grid. */
export function between(one: PlanSpot, other: PlanSpot, step: number): PlanSpot {
  return onStep({ east: (one.east + other.east) / 2, north: (one.north + other.north) / 2 }, step);
}

/** What of the plan is shown, in metres. */
export interface View {
  west: number;
  south: number;
  width: number;
  height: number;
}

/** The least that is shown, m: a small lawn with room around it. */
const LEAST = 20;
/** Height for a width. */
export const SHAPE = 0.66;

/** A view that holds all these spots with room around them. */
export function viewOf(spots: readonly PlanSpot[]): View {
  const all = spots.length > 0 ? spots : [{ east: 0, north: 0 }];
  const [east, north] = [all.map((spot) => spot.east), all.map((spot) => spot.north)];
  const [west, top] = [Math.min(...east), Math.max(...north)];
  const [wide, high] = [Math.max(...east) - west, top - Math.min(...north)];
  const width = Math.max(LEAST, wide * 1.4, (high * 1.4) / SHAPE);
  return around({ east: west + wide / 2, north: top - high / 2 }, width);
}

/** A view of a width around a spot. */
export function around(middle: PlanSpot, width: number): View {
  const height = width * SHAPE;
  return { west: middle.east - width / 2, south: middle.north - height / 2, width, height };
}

/** Whether all of it lies in the view. */
export function holds(view: View, spot: PlanSpot): boolean {
  const [east, north] = [spot.east - view.west, spot.north - view.south];
  return east >= 0 && north >= 0 && east <= view.width && north <= view.height;
}

/** A length that a grid of at most a dozen lines can have: 1, 2 or 5 times a power of ten of its unit. */
export function gridStep(view: View, unit: number): number {
  const least = view.width / 12 / unit;
  const power = 10 ** Math.floor(Math.log10(least));
  const times = [1, 2, 5, 10].find((one) => one * power >= least - 1e-9) ?? 10;
  return times * power * unit;
}
