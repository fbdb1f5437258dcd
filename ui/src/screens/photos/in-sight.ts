/** Which rows of a long list of equal cells are in sight, and the room that the others take. */
export interface Sight {
  /** Cells side by side. */
  columns: number;
  /** Height of a row, px. */
  row: number;
  /** Number of the first cell that is there. */
  first: number;
  /** Number after the last one. */
  end: number;
  /** Room above the first, px. */
  above: number;
  /** Height of all rows, px. */
  full: number;
}

/** The least width of a cell, px. */
const CELL = 168;
/** Picture, two lines of words and the mark below. */
export const ROW = 248;
/** Rows kept ready above and below what is in sight. */
const SPARE = 2;

export function inSight(list: { count: number; width: number; height: number; top: number }): Sight {
  const columns = Math.max(2, Math.floor(list.width / CELL));
  const rows = Math.ceil(list.count / columns);
  const firstRow = Math.min(rows, Math.max(0, Math.floor(list.top / ROW) - SPARE));
  const endRow = Math.min(rows, Math.ceil((list.top + list.height) / ROW) + SPARE);
  return {
    columns,
    row: ROW,
    first: firstRow * columns,
    end: Math.min(list.count, Math.max(firstRow, endRow) * columns),
    above: firstRow * ROW,
    full: rows * ROW,
  };
}
