// One row of a table of cells. It is rendered again only if something of it changes: others of two thousand rows scroll by.

import { Component, type ComponentChildren } from "preact";
import { type GridColumn, type GridRow, why_fixed } from "./grid_types";

export interface LineProps<Row extends GridRow> {
  grid: string; // id of the table in the page
  row: Row;
  index: number;
  columns: readonly GridColumn<Row>[];
  height: number;
  left: number; // first and last selected column; -1: none
  right: number;
  cursor: number; // column with the cursor, or -1
  editor: ComponentChildren; // in the cell at the cursor
  version: unknown; // changes when the texts of the columns do
}

export const cell_id = (grid: string, row: number, column: number) => `${grid}-${row}-${column}`;

export class GridLine<Row extends GridRow> extends Component<LineProps<Row>> {
  override shouldComponentUpdate(next: LineProps<Row>): boolean {
    const now = this.props;
    return (Object.keys(next) as (keyof LineProps<Row>)[]).some((name) => next[name] !== now[name]);
  }

  render() {
    const { grid, row, index, columns, height, left, right, cursor, editor } = this.props;
    return (
      <div
        class={index % 2 ? "grid-row grid-row-odd" : "grid-row"}
        role="row"
        aria-rowindex={index + 2}
        style={{ top: `${index * height}px` }}
      >
        {columns.map((column, at) => {
          const selected = at >= left && at <= right;
          const is_fixed = why_fixed(column, row) !== "";
          const names = ["grid-cell", `grid-kind-${column.kind}`];
          if (selected) names.push("grid-selected");
          if (at === cursor) names.push("grid-cursor");
          if (is_fixed) names.push("grid-fixed");
          return (
            <div
              key={column.key}
              id={cell_id(grid, index, at)}
              class={names.join(" ")}
              role={at === 0 ? "rowheader" : "gridcell"}
              aria-colindex={at + 1}
              aria-selected={selected}
              aria-readonly={is_fixed || undefined}
              data-row={index}
              data-column={at}
            >
              {at === cursor && editor ? (
                editor
              ) : column.picture ? (
                column.picture(row)
              ) : (
                <span class="grid-text" title={column.text(row)}>
                  {column.text(row)}
                </span>
              )}
            </div>
          );
        })}
      </div>
    );
  }
}
