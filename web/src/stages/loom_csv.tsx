// CSV of a table: out as a download, in through a check.

import { useState } from "preact/hooks";
import type { LoomColumn, LoomRow } from "../model/loom_columns";
import type { LoomContext } from "../model/loom_context";
import { csv_of } from "../model/loom_export";
import { download } from "../parts/download";
import { route } from "../route";
import { ImportDialog } from "./loom_import";
import type { LoomTable } from "./loom_tables";

interface Props {
  table: LoomTable;
  context: LoomContext;
  columns: readonly LoomColumn[];
  rows: readonly LoomRow[];
}

export function LoomCsv({ table, context, columns, rows }: Props) {
  const [open, set_open] = useState(false);
  return (
    <>
      <button type="button" onClick={() => set_open(true)}>
        Import
      </button>
      <button
        type="button"
        disabled={rows.length === 0}
        onClick={() => download(`${route.value.graft}-${table.name}.csv`, "text/csv;charset=utf-8", csv_of(columns, rows))}
      >
        Export CSV
      </button>
      {open && <ImportDialog table={table} context={context} columns={columns} rows={rows} close={() => set_open(false)} />}
    </>
  );
}
