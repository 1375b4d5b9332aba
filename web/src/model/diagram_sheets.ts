// The circuits that a diagram can show, in the order in which a person steps through them: what the plan adds, what it
// moves, what it takes out, then the rest.

import type { Graft, Wire } from "../api_types";
import { find_wire } from "./document";
import { device_name, find_device, wire_name } from "./names";
import { compare_names } from "./natural_order";

export type SheetGroup = "added" | "moved" | "taken out" | "unchanged";

export interface Sheet {
  id: string; // of a device or wire, as the drawing takes it
  name: string;
  group: SheetGroup;
}

// They feed, protect, join or earth a circuit, which is named after what it works.
const passive = new Set(["splice", "fuse", "fusible_link", "earth", "battery", "alternator", "open_end", "diode", "resistor"]);

const ends_at = (wire: Wire): string[] => [wire.from?.at, wire.to?.at].flatMap((at) => at ?? []);

function loads_of(doc: Graft, wire: Wire): string[] {
  return ends_at(wire).filter((at) => {
    const device = find_device(doc, at);
    return device && !passive.has(device.kind ?? "");
  });
}

// A wire that leads to no load, but to a fuse or joint of a circuit that has one, is drawn with that circuit.
function uncovered(doc: Graft, wires: readonly Wire[]): Wire[] {
  const covered = new Set<string>();
  let open = [...wires];
  const take = () => {
    const now = open.filter((wire) => loads_of(doc, wire).length > 0 || ends_at(wire).some((at) => covered.has(at)));
    for (const wire of now) for (const at of ends_at(wire)) if (passive.has(find_device(doc, at)?.kind ?? "")) covered.add(at);
    open = open.filter((wire) => !now.includes(wire));
    return now.length > 0;
  };
  while (take());
  return open;
}

function sheets_of(doc: Graft, wires: readonly Wire[], group: SheetGroup): Sheet[] {
  const devices = [...new Set(wires.flatMap((wire) => loads_of(doc, wire)))];
  return [
    ...devices.map((id) => ({ id, name: device_name(doc, id), group })),
    ...uncovered(doc, wires).map((wire) => ({ id: wire.id, name: wire_name(doc, wire), group })),
  ];
}

export function diagram_sheets(doc: Graft): Sheet[] {
  const plan = doc.plan ?? [];
  const wires_of = (action: "move" | "retire") =>
    plan.flatMap((step) => (step.action === action && step.wire ? (find_wire(doc, step.wire)?.wire ?? []) : []));
  const rest = (doc.devices ?? [])
    .filter((device) => device.kind !== "splice")
    .map((device): Sheet => ({ id: device.id, name: device_name(doc, device.id), group: "unchanged" }))
    .sort((a, b) => compare_names(a.name, b.name));
  const all = [
    ...sheets_of(
      doc,
      plan.flatMap((step) => step.added ?? []),
      "added",
    ),
    ...sheets_of(doc, wires_of("move"), "moved"),
    ...sheets_of(doc, wires_of("retire"), "taken out"),
    ...rest,
  ];
  const seen = new Set<string>();
  return all.filter(({ id }) => !seen.has(id) && seen.add(id));
}

// The sheet to begin with, or "" for the whole loom.
export function first_sheet(sheets: readonly Sheet[]): string {
  return sheets.find(({ group }) => group !== "unchanged")?.id ?? "";
}

// The sheet on which a wire or device is drawn; its own if it is on none.
export function sheet_with(doc: Graft, sheets: readonly Sheet[], id: string): string {
  const wire = find_wire(doc, id)?.wire;
  const loads = wire ? loads_of(doc, wire) : [];
  return sheets.find((sheet) => sheet.id === id || loads.includes(sheet.id))?.id ?? id;
}
