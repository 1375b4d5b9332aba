// Facts that a person measures and writes down: which member of the document a figure of a report is.

import type { Graft, PatchStep } from "../api_types";
import { connector_name, find_wire } from "./document";
import { pointer, set_member } from "./patch";

export interface Member {
  member: string;
  unit: string;
  words: string;
}

const wire_members: Record<string, Member> = {
  length: { member: "length_mm", unit: "mm", words: "length" },
  area: { member: "area_mm2", unit: "mm²", words: "size" },
};

export const device_members: readonly Member[] = [
  { member: "resistance_ohm", unit: "Ω", words: "resistance" },
  { member: "inductance_mh", unit: "mH", words: "inductance" },
  { member: "current_a", unit: "A", words: "current it draws" },
  { member: "rating_a", unit: "A", words: "rating" },
  { member: "pull_in_v", unit: "V", words: "pulls in at" },
  { member: "release_v", unit: "V", words: "lets go below" },
];

// The member that an assumption of the design stands for, where a person can measure it.
export function measurable(doc: Graft, subject: string, quantity: string): Member | undefined {
  if (find_wire(doc, subject)) return wire_members[quantity];
  if (!doc.devices?.some((device) => device.id === subject)) return undefined;
  const wanted = quantity === "inductance_h" ? "inductance_mh" : quantity;
  return device_members.find((one) => one.member === wanted);
}

const tidy = (value: number) => Number(value.toPrecision(6));

// Sets a member of a wire (of the loom or of the plan) or of a device; undefined takes the fact out again.
export function state(doc: Graft, subject: string, member: string, value: number | string | undefined): PatchStep[] {
  const kept = typeof value === "number" ? tidy(value) : value;
  const wire = find_wire(doc, subject);
  if (wire) {
    if (kept === undefined && !(member in wire.wire)) return [];
    return set_member(wire.at, wire.wire.id, member, kept);
  }
  const index = (doc.devices ?? []).findIndex((device) => device.id === subject);
  const device = doc.devices?.[index];
  if (!device || (kept === undefined && !(member in device))) return [];
  return set_member(pointer("devices", index), device.id, member, kept);
}

export function fact(doc: Graft, subject: string, member: string): string {
  const owner: object | undefined = find_wire(doc, subject)?.wire ?? doc.devices?.find((device) => device.id === subject);
  const value: unknown = owner ? (owner as Record<string, unknown>)[member] : undefined;
  return typeof value === "number" || typeof value === "string" ? String(value) : "";
}

export function subject_words(doc: Graft, subject: string): string {
  const wire = find_wire(doc, subject);
  if (wire) return wire.wire.signal ? `wire ${subject} (${wire.wire.signal})` : `wire ${subject}`;
  const [, plug = "", cavity = ""] = /^(.+):([^:]+)$/.exec(subject) ?? [];
  const connector = doc.connectors?.find((one) => one.id === plug);
  if (connector) return `${connector_name(connector)}-${cavity}`;
  const device = doc.devices?.find((one) => one.id === subject);
  if (device) return device.name ? `${device.name} (${device.id})` : device.id;
  return subject;
}

// What is checked, and of what: where the words name the subject already, it is not said again.
export function check_words(doc: Graft, { words, subject }: { words: string; subject: string }): { words: string; of: string } {
  const of = subject_words(doc, subject);
  const named = words.includes(`(${subject})`);
  return { words: words.replace(`(${subject})`, `(${of})`), of: named ? "" : of };
}
