// What a table that is edited cell by cell is made of.

import type { JSX } from "preact";
import type { Json } from "../api_types";

export interface GridRow {
  id: string;
}

export interface GridChoice {
  text: string;
  hint?: string;
}

// What typed text means for a cell: a value (undefined: nothing), or why it is none.
export type ReadCell = { value: Json | undefined } | { refused: string };

export interface GridColumn<Row extends GridRow> {
  key: string;
  head: string;
  kind: "text" | "number" | "choice" | "colour" | "end" | "reference";
  width: number; // in rem
  text: (row: Row) => string; // as shown, found, copied
  order?: (row: Row) => number | undefined; // else by text
  picture?: (row: Row) => JSX.Element;
  // What can be edited has both.
  read?: (text: string, row: Row) => ReadCell;
  value?: (row: Row) => Json | undefined;
  fixed?: (row: Row) => string; // why this cell cannot be edited; empty: it can
  choices?: (row: Row) => readonly GridChoice[];
  joiner?: string; // stands between the parts of a cell that has several, each completed by itself
}

export interface GridEdit<Row extends GridRow> {
  row: Row;
  column: GridColumn<Row>;
  value: Json | undefined;
}

export interface RefusedCell {
  row: string;
  column: string;
  text: string;
  reason: string;
}

export interface EditList<Row extends GridRow> {
  edits: GridEdit<Row>[];
  refused: RefusedCell[];
}

// Why a cell cannot be edited; empty if it can.
export function why_fixed<Row extends GridRow>(column: GridColumn<Row>, row: Row): string {
  if (!column.read) return `${column.head} follows from the rest and is not edited here.`;
  return column.fixed?.(row) ?? "";
}
