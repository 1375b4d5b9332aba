// Facts that a person measures and writes down: which member of the document a figure of a report stands for.

import type { Graft, PatchStep } from "../api_types";
import { find_wire } from "./document";
import { name_of } from "./names";
import { pointer, set_member } from "./patch";

export interface Member {
  member: string;
  unit: string;
  text: string;
}

export const length_member: Member = { member: "length_mm", unit: "mm", text: "length" };
export const area_member: Member = { member: "area_mm2", unit: "mm²", text: "size" };
export const rating_member: Member = { member: "rating_a", unit: "A", text: "rating" };

const wire_members: Record<string, Member> = { length: length_member, area: area_member };

export const device_members: readonly Member[] = [
  { member: "resistance_ohm", unit: "Ω", text: "resistance" },
  { member: "inductance_mh", unit: "mH", text: "inductance" },
  { member: "current_a", unit: "A", text: "current" },
  rating_member,
  { member: "pull_in_v", unit: "V", text: "pull-in voltage" },
  { member: "release_v", unit: "V", text: "release voltage" },
  { member: "rated_v", unit: "V", text: "made for" },
  { member: "withstands_v", unit: "V", text: "withstands at most" },
];

// The member that an assumption of the design stands for, if a person can measure it.
export function measurable(doc: Graft, subject: string, quantity: string): Member | undefined {
  if (find_wire(doc, subject)) return wire_members[quantity];
  if (!doc.devices?.some((device) => device.id === subject)) return undefined;
  const wanted = quantity === "inductance_h" ? "inductance_mh" : quantity;
  return device_members.find((one) => one.member === wanted);
}

// Quantities of assumptions by their names in the report; those that are not here are plain words already.
const quantity_names: Record<string, string> = {
  area: "size",
  class: "type",
  closed_at_rest: "closed at rest",
  cold_ohm: "cold resistance",
  contact_ohm: "contact resistance",
  current_a: "current",
  forward_v: "forward voltage",
  hottest_c: "highest temperature",
  inductance_h: "inductance",
  ohm_at_20_c: "resistance at 20 °C",
  open_ohm: "resistance when open",
  output_high_v: "highest output voltage",
  output_low_v: "lowest output voltage",
  pull_in_v: "pull-in voltage",
  rating_a: "rating",
  rating_w: "power",
  release_v: "release voltage",
  resistance_ohm: "resistance",
  self_heat_c: "self-heating",
  sleep_a: "sleep current",
  span_v: "voltage range",
  stall_a: "stall current",
  supply_v: "supply voltage",
  volts: "voltage",
  wetting_a: "wetting current",
  wiper_ohm: "wiper resistance",
};

export const quantity_text = (quantity: string): string => quantity_names[quantity] ?? quantity;

const rounded = (value: number) => Number(value.toPrecision(6));

// Sets a member of a wire (of the loom or of the plan) or of a device; undefined removes the fact.
export function set_fact(doc: Graft, subject: string, member: string, value: number | string | undefined): PatchStep[] {
  const kept = typeof value === "number" ? rounded(value) : value;
  const wire = find_wire(doc, subject);
  if (wire) {
    if (kept === undefined && !(member in wire.wire)) return [];
    return set_member(wire.pointer, wire.wire.id, member, kept);
  }
  const index = (doc.devices ?? []).findIndex((device) => device.id === subject);
  const device = doc.devices?.[index];
  if (!device || (kept === undefined && !(member in device))) return [];
  return set_member(pointer("devices", index), device.id, member, kept);
}

export function fact_text(doc: Graft, subject: string, member: string): string {
  const owner: object | undefined = find_wire(doc, subject)?.wire ?? doc.devices?.find((device) => device.id === subject);
  const value: unknown = owner ? (owner as Record<string, unknown>)[member] : undefined;
  return typeof value === "number" || typeof value === "string" ? String(value) : "";
}

// What a report names by its id, in a sentence: "wire PTO valve feed", "C3-1", "PTO valve".
export const subject_text = (doc: Graft, subject: string): string =>
  find_wire(doc, subject) ? `wire ${name_of(doc, subject)}` : name_of(doc, subject);
