// One table of the loom: its rows, and what a person changes in them. Each action is one change of the document.

import { useMemo, useState } from "preact/hooks";
import type { Graft } from "../api_types";
import type { LoomColumn, LoomRow } from "../model/loom_columns";
import { loom_context } from "../model/loom_context";
import { type CellChange, id_maker, remove, with_added, with_cells, with_copies, with_path_renamed } from "../model/loom_edits";
import { patch_between } from "../model/patch_between";
import { references_to } from "../model/references";
import { change } from "../net/edit";
import { Grid } from "../parts/grid";
import type { GridEdit } from "../parts/grid_types";
import { length_unit, units } from "../settings";
import { LoomCsv } from "./loom_csv";
import { RemoveDialog } from "./loom_remove";
import type { LoomTable } from "./loom_tables";

const title_of = (columns: readonly LoomColumn[], table: LoomTable) => {
  const column = columns.find((one) => one.key === table.title);
  return (row: LoomRow) => column?.text(row) || row.id;
};

const text_of_edits = (edits: readonly GridEdit<LoomRow>[], table: LoomTable, title: (row: LoomRow) => string): string => {
  const [first, another] = edits;
  if (!first || another) return `${edits.length} cells of ${table.label}`;
  return `${first.column.head.replace(/,.*/, "").toLowerCase()} of ${title(first.row)}`;
};

// The name of a path is its id, which wires refer to; it is changed after the other cells.
function with_edits(doc: Graft, table: LoomTable, changes: readonly CellChange[]): Graft {
  const renames = table.list === "paths" ? changes.filter((one) => one.member === "id") : [];
  const cells = changes.filter((one) => !renames.includes(one));
  return renames.reduce((now, one) => with_path_renamed(now, one.id, String(one.value)), with_cells(doc, table.list, cells));
}

export function LoomTableView({ table, graft }: { table: LoomTable; graft: Graft }) {
  const [leaving, set_leaving] = useState<LoomRow[] | null>(null);
  const context = useMemo(() => loom_context(graft, units.value, length_unit.value), [graft, units.value, length_unit.value]);
  const columns = useMemo(() => table.columns(context), [context]);
  const rows = useMemo(() => table.rows(graft), [graft]);
  const title = title_of(columns, table);
  const ids_of = (list: readonly LoomRow[]) => new Set(list.map((row) => row.id));
  const counted = (count: number) => (count === 1 ? table.one : `${count} ${table.one}s`);

  const apply = (edits: GridEdit<LoomRow>[]) => {
    const changes = edits.map(({ row, column, value }) => ({ id: row.id, member: column.key, value }));
    void change(text_of_edits(edits, table, title), (now) => patch_between(now, with_edits(now, table, changes)));
  };
  const add = () => {
    const id = id_maker(graft, table.list)("");
    void change(`a new ${table.one}`, (now) => {
      const fresh = (now[table.list] as { id: string }[] | undefined)?.some((item) => item.id === id) ? id_maker(now, table.list)("") : id;
      return patch_between(now, with_added(now, table.list, [{ ...table.new_item, id: fresh }]));
    });
  };
  const duplicate = (list: LoomRow[]) => {
    void change(`a copy of ${list.length === 1 && list[0] ? title(list[0]) : counted(list.length)}`, (now) =>
      patch_between(now, with_copies(now, table.list, ids_of(list))),
    );
  };
  const take_out = (list: LoomRow[]) => {
    set_leaving(null);
    const what = list.length === 1 && list[0] ? title(list[0]) : counted(list.length);
    void change(`${what} removed`, (now) => remove(now, table.list, ids_of(list)));
  };
  const ask_to_remove = (list: LoomRow[]) => {
    if (list.length === 0) return;
    if (list.length > 1 || references_to(graft, table.list, ids_of(list)).length > 0) set_leaving(list);
    else take_out(list);
  };
  return (
    <>
      {table.note && <p class="soft">{table.note}</p>}
      <Grid
        label={table.label}
        one={table.one}
        rows={rows}
        columns={columns}
        name={title}
        apply={apply}
        add={add}
        duplicate={duplicate}
        remove={ask_to_remove}
        empty={table.empty}
        keep={`loom.${table.name}`}
      >
        <LoomCsv table={table} context={context} columns={columns} rows={rows} />
      </Grid>
      {leaving && (
        <RemoveDialog
          what={leaving.length === 1 && leaving[0] ? title(leaving[0]) : counted(leaving.length)}
          references={references_to(graft, table.list, ids_of(leaving))}
          take_out={() => take_out(leaving)}
          close={() => set_leaving(null)}
        />
      )}
    </>
  );
}
