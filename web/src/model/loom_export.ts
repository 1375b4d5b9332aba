// A table of the loom as CSV, as it is on the screen, with the ids last: they find the rows again when it comes back.

import { safe_for_spreadsheet, text_of_cells } from "./csv";
import type { LoomColumn, LoomRow } from "./loom_columns";

export function csv_of(columns: readonly LoomColumn[], rows: readonly LoomRow[]): string {
  const body = rows.map((row) => [...columns.map((column) => safe_for_spreadsheet(column.text(row))), row.id]);
  return `\uFEFF${text_of_cells([[...columns.map((column) => column.head), "Id"], ...body], ",").replace(/\n/g, "\r\n")}\r\n`;
}
