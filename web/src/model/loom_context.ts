// What the tables of the loom need of the document to write a cell: names, ends, units. Made once for each document.

import type { Device, End, Graft, Wire } from "../api_types";
import type { LengthUnit, Units } from "../settings";
import { device_names, type EndBook, end_book, place_names, plug_names } from "./ends";

export interface LoomContext {
  doc: Graft;
  units: Units;
  length_unit: LengthUnit;
  ends: EndBook;
  plugs: Map<string, string>;
  places: Map<string, string>;
  devices: Map<string, string>;
  planned: Map<string, string>; // what the plan does with a wire
  at: (device: string, terminal: string | undefined) => Wire[];
}

function plan_of(doc: Graft): Map<string, string> {
  const states = new Map<string, string>();
  for (const step of doc.plan ?? []) {
    if (step.action === "move" && step.wire && states.get(step.wire) !== "retired") states.set(step.wire, "moved");
    if (step.action === "retire" && step.wire) states.set(step.wire, "retired");
    if (step.added) states.set(step.added.id, "added");
  }
  return states;
}

function wires_by_end(doc: Graft): Map<string, Wire[]> {
  const map = new Map<string, Wire[]>();
  const note = (end: End | undefined, wire: Wire) => {
    if (!end?.at) return;
    for (const key of new Set([end.at, `${end.at}\n${end.cavity ?? ""}`])) map.set(key, [...(map.get(key) ?? []), wire]);
  };
  for (const wire of [...(doc.wires ?? []), ...(doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : []))]) {
    note(wire.from, wire);
    note(wire.to, wire);
  }
  return map;
}

export function loom_context(doc: Graft, units: Units, length_unit: LengthUnit): LoomContext {
  let wires: Map<string, Wire[]> | null = null;
  return {
    doc,
    units,
    length_unit,
    ends: end_book(doc),
    plugs: plug_names(doc),
    places: place_names(doc),
    devices: device_names(doc),
    planned: plan_of(doc),
    at: (device, terminal) => {
      wires ??= wires_by_end(doc);
      return wires.get(terminal === undefined ? device : `${device}\n${terminal}`) ?? [];
    },
  };
}

// What stands at the other ends of the wires at a terminal: "terminal 30 bar; C2-31".
export function neighbours(context: LoomContext, device: Device, terminal: string): string {
  const others = context.at(device.id, terminal).map((wire) => {
    const mine = wire.from?.at === device.id && wire.from.cavity === terminal;
    return context.ends.text(mine ? wire.to : wire.from);
  });
  return [...new Set(others.filter(Boolean))].join("; ");
}
