// What a paste, a fill-down or the Delete key does to the selected cells, as one list of edits.

import { cells_of, text_of_cells } from "../model/csv";
import type { Rectangle } from "./grid_selection";
import { type EditList, type GridColumn, type GridEdit, type GridRow, type RefusedCell, why_fixed } from "./grid_types";

const same = (a: unknown, b: unknown): boolean => a === b || JSON.stringify(a) === JSON.stringify(b);

class Collector<Row extends GridRow> {
  readonly edits: GridEdit<Row>[] = [];
  readonly refused: RefusedCell[] = [];

  constructor(private readonly name: (row: Row) => string) {}

  refuse(row: Row, column: GridColumn<Row>, text: string, reason: string): void {
    this.refused.push({ row: this.name(row), column: column.head, text, reason });
  }

  set(row: Row, column: GridColumn<Row>, value: GridEdit<Row>["value"]): void {
    if (!same(column.value?.(row), value)) this.edits.push({ row, column, value });
  }

  type(row: Row, column: GridColumn<Row>, text: string): void {
    const fixed = why_fixed(column, row);
    if (text.trim() === column.text(row).trim()) return;
    if (fixed) this.refuse(row, column, text, fixed);
    else {
      const read = column.read?.(text, row);
      if (read && "value" in read) this.set(row, column, read.value);
      else if (read) this.refuse(row, column, text, read.refused);
    }
  }
}

export interface Area<Row extends GridRow> {
  rows: readonly Row[];
  columns: readonly GridColumn<Row>[];
  selected: Rectangle;
  name: (row: Row) => string;
}

function each<Row extends GridRow>({ rows, columns, selected }: Area<Row>, visit: (row: Row, column: GridColumn<Row>) => void): void {
  for (const row of rows.slice(selected.top, selected.bottom + 1))
    for (const column of columns.slice(selected.left, selected.right + 1)) visit(row, column);
}

export function typed<Row extends GridRow>(area: Area<Row>, row: Row, column: GridColumn<Row>, text: string): EditList<Row> {
  const list = new Collector<Row>(area.name);
  list.type(row, column, text);
  return list;
}

export function cleared<Row extends GridRow>(area: Area<Row>): EditList<Row> {
  const list = new Collector<Row>(area.name);
  each(area, (row, column) => {
    if (column.read) list.type(row, column, "");
  });
  return list;
}

export function filled_down<Row extends GridRow>(area: Area<Row>): EditList<Row> {
  const list = new Collector<Row>(area.name);
  const source = area.rows[area.selected.top];
  if (!source) return list;
  each(area, (row, column) => {
    if (row === source || !column.read || !column.value) return;
    const fixed = why_fixed(column, row);
    if (fixed) list.refuse(row, column, column.text(source), fixed);
    else list.set(row, column, column.value(source));
  });
  return list;
}

export function copied_text<Row extends GridRow>({ rows, columns, selected }: Area<Row>): string {
  const chosen = columns.slice(selected.left, selected.right + 1);
  const lines = rows.slice(selected.top, selected.bottom + 1).map((row) => chosen.map((column) => column.text(row)));
  return text_of_cells(lines, "\t");
}

// What was copied last in this page: pasted again, the values themselves are used and not their rounded texts.
export interface Copied {
  text: string;
  columns: string[];
  values: GridEdit<GridRow>["value"][][];
}

export function copied<Row extends GridRow>(area: Area<Row>): Copied {
  const chosen = area.columns.slice(area.selected.left, area.selected.right + 1);
  return {
    text: copied_text(area),
    columns: chosen.map((column) => column.key),
    values: area.rows.slice(area.selected.top, area.selected.bottom + 1).map((row) => chosen.map((column) => column.value?.(row))),
  };
}

export interface Pasted<Row extends GridRow> extends EditList<Row> {
  beyond: number; // lines that found no row
}

const unified = (text: string): string => text.replace(/\r\n?/g, "\n").replace(/\n$/, "");

// One cell goes into every selected cell; a block begins at the top left one, and is repeated if the selection is a
// multiple of it.
export function pasted<Row extends GridRow>(area: Area<Row>, text: string, before: Copied | null): Pasted<Row> {
  const list = new Collector<Row>(area.name);
  const block = cells_of(unified(text), "\t");
  const inner = before && unified(before.text) === unified(text) ? before : null;
  const { top, bottom, left, right } = area.selected;
  const wide = Math.max(...block.map((line) => line.length), 1);
  const repeat = (selected: number, count: number) => (count > 0 && selected > count && selected % count === 0 ? selected : count);
  const lines = repeat(bottom - top + 1, block.length);
  const across = repeat(right - left + 1, wide);
  for (let down = 0; down < lines; down += 1) {
    const row = area.rows[top + down];
    if (!row) break;
    for (let aside = 0; aside < across; aside += 1) {
      const column = area.columns[left + aside];
      if (!column) break;
      const [y, x] = [down % block.length, aside % wide];
      const value = inner?.columns[x] === column.key && column.read && !why_fixed(column, row) ? { of: inner.values[y]?.[x] } : null;
      if (value) list.set(row, column, value.of);
      else list.type(row, column, block[y]?.[x] ?? "");
    }
  }
  return { edits: list.edits, refused: list.refused, beyond: Math.max(0, top + lines - area.rows.length) };
}
