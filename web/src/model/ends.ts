// Ends of wires as people write them: "C2-31" for a cavity of a plug, "fog lamp left:2" for a terminal of a device, the
// name alone where a device has one terminal.

import type { Connector, Device, End, Graft, Module } from "../api_types";
import { kind_of } from "./device_kinds";
import { connector_name, module_name } from "./document";
import { compare_names } from "./natural_order";

export interface EndChoice {
  text: string;
  hint: string; // what is there
  end: End;
}

export interface EndBook {
  text: (end: End | undefined) => string;
  read: (text: string) => ReadEnd;
  choices: readonly EndChoice[];
}

export type ReadEnd = { end: End | undefined } | { refused: string; unknown?: string };

const plain = (text: string): string => text.trim().toLowerCase().replace(/\s+/g, " ");

export const terminals_of = (device: Device): readonly string[] => device.terminals ?? kind_of(device.kind)?.terminals ?? [];

function modules_of_plugs(doc: Graft): Map<string, Module> {
  const owners = new Map<string, Module>();
  for (const module of doc.modules ?? []) for (const id of module.connectors ?? []) owners.set(id, module);
  return owners;
}

// The name of each plug; where two have one name, that of the vehicle's own module keeps it and the other says whose it is.
export function plug_names(doc: Graft): Map<string, string> {
  const owners = modules_of_plugs(doc);
  const used = new Map<string, number>();
  for (const plug of doc.connectors ?? []) used.set(plain(connector_name(plug)), (used.get(plain(connector_name(plug))) ?? 0) + 1);
  const own = (plug: Connector) => owners.get(plug.id)?.role === "found" || !owners.has(plug.id);
  const kept = new Set<string>();
  const names = new Map<string, string>();
  const in_order = [...(doc.connectors ?? [])].sort((a, b) => Number(own(b)) - Number(own(a)));
  for (const plug of in_order) {
    const name = connector_name(plug);
    const owner = owners.get(plug.id);
    const first = !kept.has(plain(name)) && (own(plug) || used.get(plain(name)) === 1);
    kept.add(plain(name));
    names.set(plug.id, first ? name : `${name} of ${owner ? (owner.role === "donor" ? "the donor" : module_name(owner)) : plug.id}`);
  }
  return unique_names(names);
}

// Two items of one name are told apart by their id.
function unique_names(names: Map<string, string>): Map<string, string> {
  const count = new Map<string, number>();
  for (const name of names.values()) count.set(plain(name), (count.get(plain(name)) ?? 0) + 1);
  return new Map([...names].map(([id, name]) => [id, (count.get(plain(name)) ?? 0) > 1 && name !== id ? `${name} [${id}]` : name]));
}

export const device_names = (doc: Graft): Map<string, string> =>
  unique_names(new Map((doc.devices ?? []).map((device) => [device.id, device.name || device.id])));

export const place_names = (doc: Graft): Map<string, string> =>
  unique_names(new Map((doc.places ?? []).map((place) => [place.id, place.name || place.id])));

// The cavities of each plug: those of its rows, and those that pins and wires name.
function cavities(doc: Graft): Map<string, Map<string, string>> {
  const all = new Map<string, Map<string, string>>();
  const note = (plug: string, cavity: string, signal: string) => {
    const mine = all.get(plug) ?? new Map<string, string>();
    if (!mine.get(cavity)) mine.set(cavity, signal);
    all.set(plug, mine);
  };
  for (const plug of doc.connectors ?? [])
    for (const row of plug.rows ?? []) for (const cavity of row.cavities ?? []) if (cavity) note(plug.id, cavity, "");
  for (const module of doc.modules ?? []) for (const pin of module.pins ?? []) note(pin.connector, pin.cavity, pin.signal ?? "");
  return all;
}

function plug_choices(doc: Graft, names: Map<string, string>): EndChoice[] {
  const all = cavities(doc);
  return (doc.connectors ?? []).flatMap((plug) =>
    [...(all.get(plug.id) ?? [])]
      .map(([cavity, hint]) => ({ text: `${names.get(plug.id)}-${cavity}`, hint, end: { at: plug.id, cavity } }))
      .sort((a, b) => compare_names(a.end.cavity, b.end.cavity)),
  );
}

function device_end_text(device: Device, name: string, cavity: string | undefined): string {
  const terminals = terminals_of(device);
  if (cavity === undefined || (terminals.length === 1 && terminals[0] === cavity)) return name;
  return `${name}:${cavity}`;
}

const device_choices = (doc: Graft, names: Map<string, string>): EndChoice[] =>
  (doc.devices ?? []).flatMap((device) =>
    terminals_of(device).map((cavity) => ({
      text: device_end_text(device, names.get(device.id) ?? device.id, cavity),
      hint: kind_of(device.kind)?.text ?? "",
      end: { at: device.id, cavity },
    })),
  );

interface Part {
  id: string;
  cavities: readonly string[]; // empty: any
  ask: string; // what to say if the cavity is missing
}

function parts_by_name(doc: Graft, plugs: Map<string, string>, devices: Map<string, string>): Map<string, Part> {
  const all = cavities(doc);
  const parts = new Map<string, Part>();
  const note = (name: string, part: Part) => {
    if (!parts.has(plain(name))) parts.set(plain(name), part);
  };
  const of_plug = (plug: Connector): Part => ({ id: plug.id, cavities: [...(all.get(plug.id)?.keys() ?? [])], ask: "cavity" });
  const of_device = (device: Device): Part => ({ id: device.id, cavities: terminals_of(device), ask: "terminal" });
  for (const plug of doc.connectors ?? []) note(plugs.get(plug.id) ?? plug.id, of_plug(plug));
  for (const device of doc.devices ?? []) note(devices.get(device.id) ?? device.id, of_device(device));
  for (const plug of doc.connectors ?? []) note(plug.id, of_plug(plug));
  for (const device of doc.devices ?? []) note(device.id, of_device(device));
  return parts;
}

// Every way to split a text into the name of a part and a cavity: "pedal switch-2", "C2 31", "Y20:1".
function splits(text: string): [string, string][] {
  const list: [string, string][] = [];
  for (let at = text.length - 1; at > 0; at -= 1) {
    if (!/[-:./ ]/.test(text[at] ?? "")) continue;
    list.push([plain(text.slice(0, at).replace(/[-:./ ]+$/, "")), text.slice(at + 1).trim()]);
  }
  return list;
}

const listed = (all: readonly string[]): string => (all.length > 12 ? `${all.slice(0, 12).join(", ")} …` : all.join(", "));

function read_in(parts: Map<string, Part>, names: (id: string) => string, text: string): ReadEnd {
  const whole = parts.get(plain(text));
  if (whole) {
    const [only, another] = whole.cavities;
    if (only !== undefined && another === undefined) return { end: { at: whole.id, cavity: only } };
    if (whole.cavities.length === 0 && whole.ask === "terminal") return { end: { at: whole.id } };
    const which = whole.cavities.length > 0 ? ` It has ${listed(whole.cavities)}.` : "";
    return { refused: `Say which ${whole.ask} of ${names(whole.id)}.${which}` };
  }
  for (const [name, cavity] of splits(text)) {
    const part = parts.get(name);
    if (!part || cavity === "") continue;
    const exact = part.cavities.find((one) => plain(one) === plain(cavity));
    if (exact !== undefined) return { end: { at: part.id, cavity: exact } };
    if (part.cavities.length === 0) return { end: { at: part.id, cavity } };
    return { refused: `${names(part.id)} has no ${part.ask} ${cavity}. It has ${listed(part.cavities)}.` };
  }
  return {
    refused: `There is no plug or device "${text.trim()}". Add it under Plugs or Devices first, or choose one of the list.`,
    unknown: text.trim(),
  };
}

export function end_book(doc: Graft): EndBook {
  const plugs = plug_names(doc);
  const devices = device_names(doc);
  const device_by_id = new Map((doc.devices ?? []).map((device) => [device.id, device]));
  const text = (end: End | undefined): string => {
    if (!end?.at) return "";
    const device = device_by_id.get(end.at);
    if (device) return device_end_text(device, devices.get(end.at) ?? end.at, end.cavity);
    return end.cavity === undefined ? (plugs.get(end.at) ?? end.at) : `${plugs.get(end.at) ?? end.at}-${end.cavity}`;
  };
  let parts: Map<string, Part> | null = null;
  let choices: EndChoice[] | null = null;
  const name = (id: string) => plugs.get(id) ?? devices.get(id) ?? id;
  return {
    text,
    read: (typed) => {
      if (typed.trim() === "") return { end: undefined };
      parts ??= parts_by_name(doc, plugs, devices);
      return read_in(parts, name, typed);
    },
    get choices() {
      choices ??= [...plug_choices(doc, plugs), ...device_choices(doc, devices)];
      return choices;
    },
  };
}
