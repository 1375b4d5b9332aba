// What a person calls the items of a document. An id is shown only where nothing else tells two items of one name apart.

import type { Device, End, Graft, Wire } from "../api_types";
import { all_wires, cavity_of_end, find_wire, module_name } from "./document";
import { type EndBook, end_book } from "./ends";
import { path_name } from "./references";

// A document never changes: each edit makes another one.
function once<T>(make: (doc: Graft) => T): (doc: Graft) => T {
  const made = new WeakMap<Graft, { value: T }>();
  return (doc) => {
    let have = made.get(doc);
    if (!have) {
      have = { value: make(doc) };
      made.set(doc, have);
    }
    return have.value;
  };
}

const book_of = once((doc): EndBook => end_book(doc));

const devices_of = once((doc) => new Map<string, Device>((doc.devices ?? []).map((device) => [device.id, device])));

const signal_counts = once((doc) => {
  const counts = new Map<string, number>();
  for (const { signal } of all_wires(doc)) if (signal) counts.set(signal, (counts.get(signal) ?? 0) + 1);
  return counts;
});

export const find_device = (doc: Graft, id: string): Device | undefined => devices_of(doc).get(id);

// An end of a wire: "C2-31", "PTO valve:1", "open".
export const end_name = (doc: Graft, end: End | undefined): string => (end?.at ? book_of(doc).text(end) || end.at : "open");

// The same without the terminal of a device: "C2-31", "PTO valve".
const short_end_name = (doc: Graft, end: End | undefined): string =>
  end?.at && find_device(doc, end.at) ? book_of(doc).text({ at: end.at }) : end_name(doc, end);

export const wire_ends = (doc: Graft, { from, to }: Wire): string => `${end_name(doc, from)} to ${end_name(doc, to)}`;

// Its signal, which two wires may share; else where it leads.
export function wire_name(doc: Graft, wire: Wire): string {
  const ends = `${short_end_name(doc, wire.from)} to ${short_end_name(doc, wire.to)}`;
  if (!wire.signal) return ends;
  return (signal_counts(doc).get(wire.signal) ?? 0) > 1 ? `${wire.signal} (${ends})` : wire.signal;
}

export const device_name = (doc: Graft, id: string): string => short_end_name(doc, { at: id });

export const place_name = (doc: Graft, id: string): string => doc.places?.find((one) => one.id === id)?.name || path_name(id);

// An end id of a report, "found.C3:1" or "Y20:2", as an end.
function end_of_id(doc: Graft, id: string): End | undefined {
  const cavity = cavity_of_end(doc, id);
  if (cavity) return { at: cavity.connector.id, cavity: cavity.cavity };
  const split = id.lastIndexOf(":");
  const device = split > 0 ? find_device(doc, id.slice(0, split)) : undefined;
  return device && { at: device.id, cavity: id.slice(split + 1) };
}

// What a report names by its id, whatever it is.
export function name_of(doc: Graft, id: string): string {
  const wire = find_wire(doc, id);
  if (wire) return wire_name(doc, wire.wire);
  if (find_device(doc, id)) return device_name(doc, id);
  const end = end_of_id(doc, id);
  if (end) return end_name(doc, end);
  const module = doc.modules?.find((one) => one.id === id);
  if (module) return module_name(module);
  const plug = doc.connectors?.find((one) => one.id === id);
  if (plug) return end_name(doc, { at: plug.id });
  const path = doc.paths?.some((one) => one.id === id);
  return path || doc.places?.some((one) => one.id === id) ? place_name(doc, id) : id;
}
