// What is half-typed in a cell of a table: kept on this device until it is saved or given up.

import { draft_of, drop_draft, keep_draft } from "../drafts";
import { route } from "../route";
import type { Spot } from "./grid_selection";
import type { GridColumn, GridRow } from "./grid_types";

interface CellDraft {
  row: string;
  column: string;
  text: string;
  over: string; // the text that it replaces: changed by another device, it is dropped
}

const no_draft: CellDraft = { row: "", column: "", text: "", over: "" };

const field_of = (table: string) => `cell.${table}`;

export function keep_cell<Row extends GridRow>(table: string, row: Row, column: GridColumn<Row>, text: string): void {
  if (!table) return;
  const draft: CellDraft = { row: row.id, column: column.key, text, over: column.text(row) };
  keep_draft(route.value.graft, field_of(table), draft);
}

export const drop_cell = (table: string): void => {
  if (table) drop_draft(route.value.graft, field_of(table));
};

// Where it was typed and what, if that cell still says what it said then.
export function kept_cell<Row extends GridRow>(
  table: string,
  rows: readonly Row[],
  columns: readonly GridColumn<Row>[],
): { spot: Spot; text: string } | null {
  const draft = table ? draft_of<CellDraft>(route.value.graft, field_of(table), no_draft) : null;
  if (!draft) return null;
  const spot = { row: rows.findIndex(({ id }) => id === draft.row), column: columns.findIndex(({ key }) => key === draft.column) };
  const [row, column] = [rows[spot.row], columns[spot.column]];
  return row && column && column.text(row) === draft.over ? { spot, text: draft.text } : null;
}
