// Which cells are selected: a rectangle between the cell where it began and the cell at the cursor. Row -1 is the head.

export interface Spot {
  row: number;
  column: number;
}

export interface Selection {
  anchor: Spot;
  at: Spot;
}

export interface Rectangle {
  top: number;
  bottom: number;
  left: number;
  right: number;
}

export interface Extent {
  rows: number;
  columns: number;
  page: number; // rows that are visible at once
}

export const start: Selection = { anchor: { row: 0, column: 0 }, at: { row: 0, column: 0 } };

export const rectangle_of = ({ anchor, at }: Selection): Rectangle => ({
  top: Math.max(0, Math.min(anchor.row, at.row)),
  bottom: Math.max(0, anchor.row, at.row),
  left: Math.min(anchor.column, at.column),
  right: Math.max(anchor.column, at.column),
});

export const cells_in = ({ top, bottom, left, right }: Rectangle): number => (bottom - top + 1) * (right - left + 1);

const within = (value: number, least: number, count: number) => Math.min(Math.max(value, least), Math.max(count - 1, least));

export function clamped(selection: Selection, { rows, columns }: Extent): Selection {
  const clamp = (spot: Spot): Spot => ({ row: within(spot.row, -1, rows), column: within(spot.column, 0, columns) });
  return { anchor: clamp(selection.anchor), at: clamp(selection.at) };
}

export function moved_to(selection: Selection, to: Spot, extend: boolean, extent: Extent): Selection {
  const least = extend ? 0 : -1;
  const at = { row: within(to.row, least, extent.rows), column: within(to.column, 0, extent.columns) };
  return { anchor: extend ? { ...selection.anchor, row: Math.max(0, selection.anchor.row) } : at, at };
}

// The cursor goes to the top, so that the view does not jump to the end.
export const everything = ({ rows, columns }: Extent): Selection => ({
  anchor: { row: Math.max(0, rows - 1), column: columns - 1 },
  at: { row: 0, column: 0 },
});

// Where a key leads; null if it does not move the cursor.
export function spot_after(key: string, { at }: Selection, jump: boolean, { rows, columns, page }: Extent): Spot | null {
  const to = (row: number, column: number): Spot => ({ row, column });
  switch (key) {
    case "ArrowUp":
      return to(jump ? 0 : at.row - 1, at.column);
    case "ArrowDown":
      return to(jump ? rows - 1 : at.row + 1, at.column);
    case "ArrowLeft":
      return to(at.row, jump ? 0 : at.column - 1);
    case "ArrowRight":
      return to(at.row, jump ? columns - 1 : at.column + 1);
    case "PageUp":
      return to(Math.max(0, at.row - page), at.column);
    case "PageDown":
      return to(at.row + page, at.column);
    case "Home":
      return to(jump ? 0 : at.row, 0);
    case "End":
      return to(jump ? rows - 1 : at.row, columns - 1);
    default:
      return null;
  }
}
