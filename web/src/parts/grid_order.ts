// Which rows are shown, in which order. The order is worked out when a person asks for it and then stays while cells are
// edited, so that a row never jumps away under the cursor.

import { compare_names } from "../model/natural_order";
import type { GridColumn, GridRow } from "./grid_types";

export interface Sorting {
  column: string;
  down: boolean;
}

function by_column<Row extends GridRow>(column: GridColumn<Row>, a: Row, b: Row): number {
  if (!column.order) {
    const [mine, theirs] = [column.text(a), column.text(b)];
    // What is empty comes last in either direction.
    return mine === "" || theirs === "" ? Number.NaN : compare_names(mine, theirs);
  }
  const [mine, theirs] = [column.order(a), column.order(b)];
  return mine === undefined || theirs === undefined ? Number.NaN : mine - theirs;
}

function is_empty<Row extends GridRow>(column: GridColumn<Row>, row: Row): boolean {
  return column.order ? column.order(row) === undefined : column.text(row) === "";
}

export function ordered<Row extends GridRow>(rows: readonly Row[], columns: readonly GridColumn<Row>[], sorting: Sorting | null): Row[] {
  const column = columns.find((one) => one.key === sorting?.column);
  if (!column || !sorting) return [...rows];
  return [...rows].sort((a, b) => {
    const order = by_column(column, a, b);
    if (Number.isNaN(order)) return Number(is_empty(column, a)) - Number(is_empty(column, b));
    return sorting.down ? -order : order;
  });
}

// The rows that have every word of the text in some cell.
export function found<Row extends GridRow>(rows: readonly Row[], columns: readonly GridColumn<Row>[], text: string): Row[] {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  if (words.length === 0) return [...rows];
  return rows.filter((row) => {
    const all = columns
      .map((column) => column.text(row))
      .join("\n")
      .toLowerCase();
    return words.every((word) => all.includes(word));
  });
}

// The rows in the order that was worked out before; those that were added since come last.
export function in_kept_order<Row extends GridRow>(
  rows: readonly Row[],
  kept: ReadonlyMap<string, number>,
  known: ReadonlySet<string>,
): Row[] {
  return rows
    .filter((row) => kept.has(row.id) || !known.has(row.id))
    .sort((a, b) => (kept.get(a.id) ?? Number.POSITIVE_INFINITY) - (kept.get(b.id) ?? Number.POSITIVE_INFINITY) || 0);
}
