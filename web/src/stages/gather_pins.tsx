// The pins of a module as a table in which every cell can be corrected, and where the pin at the cursor comes from.

import { useMemo, useState } from "preact/hooks";
import type { Graft, Module, Pin } from "../api_types";
import { connector_name, connectors_of, module_name } from "../model/document";
import { device_names } from "../model/ends";
import { choice_column, colour_column, type LoomColumn, type LoomRow, text_column, yes_no_column } from "../model/loom_columns";
import { class_choices, class_text } from "../model/pin_classes";
import { add_pin, free_cavity, type PinChange, pin_key, remove_pins, set_pins, why_not_pins } from "../model/pin_edits";
import { change } from "../net/edit";
import { Grid } from "../parts/grid";
import type { GridEdit } from "../parts/grid_types";
import { Wire } from "../parts/wire";
import { PinSources } from "./gather_pin_sources";

const pin_of = (row: LoomRow): Pin => row.item as unknown as Pin;

// What the wire leads to: free text, or a device by its id.
function far_end_column(devices: Map<string, string>): LoomColumn {
  const by_name = new Map([...devices].map(([id, name]) => [name.toLowerCase(), id]));
  return {
    ...text_column("far_end", "Goes to", 13, () => [...devices.values()].map((text) => ({ text }))),
    text: (row) => {
      const far_end = pin_of(row).far_end ?? "";
      return devices.get(far_end) ?? far_end;
    },
    read: (text) => ({ value: text.trim() === "" ? undefined : (by_name.get(text.trim().toLowerCase()) ?? text.trim()) }),
  };
}

const needed = (column: LoomColumn): LoomColumn => ({
  ...column,
  read: (text, row) =>
    text.trim() === "" ? { refused: `${column.head} cannot be empty.` } : (column.read?.(text, row) ?? { value: undefined }),
});

function columns_of(graft: Graft, module: Module): LoomColumn[] {
  const plugs = connectors_of(graft, module).map((plug) => [plug.id, connector_name(plug)] as const);
  return [
    needed(text_column("cavity", "Cavity", 5.5)),
    needed(choice_column("connector", "Plug", 6, plugs, "reference")),
    text_column("signal", "Signal", 15),
    choice_column("class", "Type", 12, class_choices),
    colour_column("colour", "Colour", 7, (colour) => (colour ? <Wire colour={colour} /> : <span />)),
    far_end_column(device_names(graft)),
    text_column("note", "Note", 13),
    yes_no_column("populated", "Terminal in the plug", 9),
  ].map((column) => (column.key === "class" ? { ...column, text: (row) => class_text(pin_of(row).class) } : column));
}

const changes_of = (edits: readonly GridEdit<LoomRow>[]): PinChange[] =>
  edits.map(({ row, column, value }) => ({ pin: pin_key(pin_of(row)), member: column.key, value }));

export function PinTable({ graft, module }: { graft: Graft; module: Module }) {
  const [chosen, set_chosen] = useState<LoomRow | undefined>(undefined);
  const columns = useMemo(() => columns_of(graft, module), [graft, module]);
  const plug_names = useMemo(() => new Map(connectors_of(graft, module).map((plug) => [plug.id, connector_name(plug)])), [graft, module]);
  const plug_name = (id: string) => plug_names.get(id) ?? id;
  // A row is known by its number: its cavity may change.
  const rows = useMemo(
    () => (module.pins ?? []).map((pin, index): LoomRow => ({ id: String(index), item: pin as unknown as LoomRow["item"] })),
    [module],
  );
  const name = (row: LoomRow) => `${plug_name(pin_of(row).connector)}-${pin_of(row).cavity}`;
  const of = (list: readonly LoomRow[]) => (list.length === 1 && list[0] ? name(list[0]) : `${list.length} pins`);
  const apply = (edits: GridEdit<LoomRow>[]) => {
    const [first, another] = edits;
    const what = first && !another ? `${first.column.head.toLowerCase()} of ${name(first.row)}` : `${edits.length} cells of the pins`;
    void change(`${what}, ${module_name(module)}`, (now) => set_pins(now, module.id, changes_of(edits)));
  };
  const add = () => {
    const plug = chosen ? pin_of(chosen).connector : (module.connectors?.[0] ?? "");
    void change(`a new pin of ${module_name(module)}`, (now) => {
      const fresh = now.modules?.find((one) => one.id === module.id);
      return fresh ? add_pin(now, module.id, plug, free_cavity(now, fresh, plug)) : [];
    });
  };
  const remove = (list: LoomRow[]) => {
    const keys = new Set(list.map((row) => pin_key(pin_of(row))));
    void change(`${of(list)} of ${module_name(module)} removed`, (now) => remove_pins(now, module.id, keys));
  };
  const shown = chosen && rows.find((row) => row.id === chosen.id);
  return (
    <div class="stack">
      <p class="soft">
        What you type is recorded as seen on the vehicle. What the sources said stays, and is shown below the table for the pin at the
        cursor.
      </p>
      <Grid
        label={`Pins of ${module_name(module)}`}
        one="pin"
        rows={rows}
        columns={columns}
        name={name}
        apply={apply}
        check={(edits) => why_not_pins(graft, module, changes_of(edits), plug_name)}
        {...(module.connectors?.length && { add })}
        remove={remove}
        chosen={set_chosen}
        empty="This module has no pins yet."
        keep={`pins.${module.id}`}
      />
      {shown && <PinSources graft={graft} pin={pin_of(shown)} name={name(shown)} />}
    </div>
  );
}
