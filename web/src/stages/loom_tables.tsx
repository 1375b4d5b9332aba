// The tables of the loom: which items of the document each shows, and its columns.

import type { Device, Graft, Wire as LoomWire } from "../api_types";
import { device_kinds, device_models, fuse_families, is_fuse } from "../model/device_kinds";
import { insulation_names } from "../model/insulation";
import {
  ampere,
  celsius,
  choice_column,
  colour_column,
  derived_column,
  end_column,
  type LoomColumn,
  type LoomRow,
  length_column,
  list_column,
  millimetre,
  minutes,
  name_column,
  number_column,
  ohm,
  size_column,
  text_column,
  yes_no_column,
} from "../model/loom_columns";
import { type LoomContext, neighbours } from "../model/loom_context";
import type { LoomList } from "../model/loom_edits";
import { path_name } from "../model/references";
import { Wire } from "../parts/wire";

export const table_names = ["wires", "devices", "fuses", "earths", "joints", "plugs", "places", "paths"] as const;
export type TableName = (typeof table_names)[number];

export interface LoomTable {
  name: TableName;
  label: string;
  one: string;
  list: LoomList;
  new_item: { id: string } & Record<string, unknown>; // what a new row has; its id is made
  note?: string;
  rows: (doc: Graft) => LoomRow[];
  columns: (context: LoomContext) => LoomColumn[];
  title: string; // the column that names a row
  empty: string;
}

const rows_of = (list: readonly { id: string }[] | undefined): LoomRow[] => (list ?? []).map((item) => ({ id: item.id, item }));
const devices_where = (is: (device: Device) => boolean) => (doc: Graft) => rows_of((doc.devices ?? []).filter(is));
const as_device = (row: LoomRow): Device => row.item as Device;

const kind_choices = device_kinds.map(({ name, text }) => [name, text] as const);
const place_choices = ({ places }: LoomContext) => [...places].map(([id, name]) => [id, name] as const);
const place_column = (context: LoomContext) => choice_column("place", "Place", 13, place_choices(context), "reference");
const fuse_kinds = kind_choices.filter(([name]) => is_fuse(name));

// Models of the device's kind come first; any other name is refused by the design, not here.
function model_column(head: string, families: boolean): LoomColumn {
  const offered = (row: LoomRow) => {
    const { kind } = as_device(row);
    const list = families ? fuse_families : device_models;
    return list
      .filter((model) => !kind || model.kind === kind || (is_fuse(kind) && model.kind === "fuse"))
      .map(({ name, text }) => ({ text: name, hint: text }));
  };
  return { ...text_column("model", head, 12), kind: "choice", choices: offered };
}

const loom_state = ({ planned }: LoomContext, row: LoomRow): string => {
  const state = planned.get(row.id);
  return state ?? ((row.item as LoomWire).guessed ? "as found, a guess" : "as found");
};

const path_choices = ({ doc, places }: LoomContext) =>
  (doc.paths ?? []).map((path) => {
    const hint = [path.from, path.to].map((id) => (id ? (places.get(id) ?? id) : "?")).join(" – ");
    return [path.id, path_name(path.id), hint] as const;
  });

const twist_choices = (doc: Graft) => () => [...new Set((doc.wires ?? []).flatMap((wire) => wire.twist ?? []))].map((text) => ({ text }));

const wires: LoomTable = {
  name: "wires",
  label: "Wires",
  one: "wire",
  list: "wires",
  new_item: { id: "" },
  note: "An end that is edited here corrects the loom as found. To move or retire a wire, change the plan: Compare and Circuits do that.",
  rows: (doc) => rows_of([...(doc.wires ?? []), ...(doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : []))]),
  columns: (context) => [
    name_column("signal", "Name", 12),
    derived_column("state", "State", 6.5, (row) => loom_state(context, row)),
    end_column("from", "From", 10.5, context),
    end_column("to", "To", 10.5, context),
    colour_column("colour", "Colour", 6.5, (colour) => (colour ? <Wire colour={colour} /> : <span />)),
    size_column("area_mm2", "Size", 5.5, context),
    length_column("length_mm", "Length", 5.5, context),
    text_column("insulation", "Insulation", 6.5, () => insulation_names.map((text) => ({ text }))),
    list_column("along", "Along", 9, path_choices(context)),
    text_column("twist", "Twisted with", 6.5, twist_choices(context.doc)),
  ],
  title: "signal",
  empty: "No wires are known yet. Add one, or import a wire list: from; to; colour; size; length; signal.",
};

const devices: LoomTable = {
  name: "devices",
  label: "Devices",
  one: "device",
  list: "devices",
  new_item: { id: "" },
  note: "All devices; fuses, earths and joints have tables of their own as well.",
  rows: devices_where(() => true),
  columns: (context) => [
    name_column("name", "Name", 14),
    choice_column("kind", "Kind", 12, kind_choices),
    model_column("Model", false),
    place_column(context),
    number_column("resistance_ohm", "Resistance", 7, ohm),
    number_column("rating_a", "Rating", 6, ampere),
    number_column("current_a", "Current", 6, ampere),
    yes_no_column("forbidden", "Forbidden", 6),
  ],
  title: "name",
  empty: "No devices are known yet. Add one, or import a list.",
};

const fuses: LoomTable = {
  name: "fuses",
  label: "Fuses",
  one: "fuse",
  list: "devices",
  new_item: { id: "", kind: "fuse" },
  rows: devices_where((device) => is_fuse(device.kind)),
  columns: (context) => [
    name_column("name", "Name", 14),
    choice_column("kind", "Kind", 7, fuse_kinds),
    number_column("rating_a", "Rating", 6, ampere),
    model_column("Family", true),
    place_column(context),
    derived_column("fed", "Fed from", 12, (row) => neighbours(context, as_device(row), "1")),
    derived_column("feeds", "Feeds", 12, (row) => neighbours(context, as_device(row), "2")),
  ],
  note: "What feeds a fuse follows from the wire at its terminal 1.",
  title: "name",
  empty: "No fuses are known yet. Add one, or import the layout of the fuse box: F12; 15 A; fog lamps; 15.",
};

const earths: LoomTable = {
  name: "earths",
  label: "Earths",
  one: "earth point",
  list: "devices",
  new_item: { id: "", kind: "earth" },
  rows: devices_where((device) => device.kind === "earth"),
  columns: (context) => [
    name_column("name", "Name", 14),
    place_column(context),
    derived_column("wires", "Wires", 5, (row) => String(context.at(row.id, undefined).length || "")),
    derived_column("from", "Comes from", 20, (row) => neighbours(context, as_device(row), "1")),
  ],
  title: "name",
  empty: "No earth points are known yet.",
};

const joints: LoomTable = {
  name: "joints",
  label: "Joints",
  one: "joint",
  list: "devices",
  new_item: { id: "", kind: "splice" },
  rows: devices_where((device) => device.kind === "splice"),
  columns: (context) => [
    name_column("name", "Name", 14),
    place_column(context),
    derived_column("wires", "Wires", 5, (row) => String(context.at(row.id, undefined).length || "")),
    derived_column("joins", "Joins", 20, (row) => neighbours(context, as_device(row), "1")),
  ],
  title: "name",
  empty: "No joints are known yet.",
};

const view_choices = [
  ["wire_entry", "wire-entry side"],
  ["mating", "mating side"],
  ["unknown", "not known"],
] as const;
const latch_choices = ["top", "bottom", "left", "right", "unknown"].map((side) => [side, side === "unknown" ? "not known" : side] as const);

const cavity_count = (row: LoomRow): string => {
  const plug = row.item as { rows?: { cavities?: string[] }[] };
  return String((plug.rows ?? []).flatMap((one) => (one.cavities ?? []).filter(Boolean)).length || "");
};

const plugs: LoomTable = {
  name: "plugs",
  label: "Plugs",
  one: "plug",
  list: "connectors",
  new_item: { id: "" },
  note: "The cavities of a module's plug are edited under Gather.",
  rows: (doc) => rows_of(doc.connectors),
  columns: (context) => [
    name_column("name", "Name", 7),
    derived_column("module", "Belongs to", 13, (row) => {
      const owner = (context.doc.modules ?? []).find((module) => module.connectors?.includes(row.id));
      return owner ? owner.name || owner.id : "the loom";
    }),
    text_column("part", "Part", 10),
    text_column("housing_colour", "Housing", 7),
    derived_column("cavities", "Cavities", 5, cavity_count),
    choice_column(
      "mates",
      "Mates with",
      10,
      [...context.plugs].map(([id, name]) => [id, name] as const),
      "reference",
    ),
    choice_column("view", "Seen from", 9, view_choices),
    choice_column("latch", "Latch", 6, latch_choices),
    yes_no_column("sealed", "Sealed", 5),
  ],
  title: "name",
  empty: "No plugs are known yet. Add one, or bring the pin table of a module under Gather.",
};

const places: LoomTable = {
  name: "places",
  label: "Places",
  one: "place",
  list: "places",
  new_item: { id: "" },
  rows: (doc) => rows_of(doc.places),
  columns: () => [
    name_column("name", "Name", 18),
    number_column("hottest_c", "Hottest", 7, celsius),
    yes_no_column("wet", "Wet", 5),
    yes_no_column("moving", "Moving", 5),
    number_column("access_min", "Access", 7, minutes),
  ],
  title: "name",
  empty: "No places are known yet. A place is a spot in the vehicle where things are mounted.",
};

const paths: LoomTable = {
  name: "paths",
  label: "Paths",
  one: "path",
  list: "paths",
  new_item: { id: "" },
  rows: (doc) => rows_of(doc.paths),
  columns: (context) => [
    {
      ...text_column("id", "Name", 10),
      text: (row) => path_name(row.id),
      read: (text) => (text.trim() ? { value: text.trim() } : { refused: "A path needs a name." }),
    },
    choice_column("from", "From", 13, place_choices(context), "reference"),
    choice_column("to", "To", 13, place_choices(context), "reference"),
    length_column("length_mm", "Length", 6, context),
    length_column("shortest_mm", "Shortest", 6, context),
    length_column("longest_mm", "Longest", 6, context),
    number_column("hottest_c", "Hottest", 6, celsius),
    number_column("opening_mm", "Opening", 6, millimetre),
    text_column("caution", "Caution", 12),
  ],
  title: "id",
  empty: "No paths are known yet. A path leads from one place to another.",
};

export const loom_tables: Record<TableName, LoomTable> = { wires, devices, fuses, earths, joints, plugs, places, paths };
