// What the new-job form holds until the job is created.

import type { ColumnRole } from "../api_types";
import type { TableInput } from "./table_input";

export type TableWay = "paste" | "file" | "none";

export interface NewTable {
  way: TableWay;
  text: string;
  file: TableInput | null;
  columns: Record<string, ColumnRole>; // corrected by the person
  colour_codes?: TableInput["colour_codes"];
  types?: TableInput["types"];
  looked?: boolean; // at what was not read of it
  index: number; // of the table that is meant, if there are several in one text
}

export interface NewJobForm {
  title: string;
  supply_v: 12 | 24;
  found: NewTable;
  donor: NewTable;
}

const no_table: NewTable = { way: "paste", text: "", file: null, columns: {}, index: 0 };

export const pasted_name = "pasted table";

export const empty_form: NewJobForm = { title: "", supply_v: 12, found: no_table, donor: no_table };

// What the program is to read, or null if there is no table yet.
export function input_of({ way, text, file, colour_codes, types }: NewTable): TableInput | null {
  const meaning = { ...(colour_codes && { colour_codes }), ...(types && { types }) };
  if (way === "paste") return text.trim() ? { name: pasted_name, text, ...meaning } : null;
  return way === "file" && file ? { ...file, ...meaning } : null;
}
