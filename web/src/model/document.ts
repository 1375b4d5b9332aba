// Queries on the document: which module, which plug, where a pin or wire is kept.

import type { CavityRef, Claim, Colour, Connector, Graft, Module, Pin, Wire } from "../api_types";
import { pointer } from "./patch";

export const found_module = (doc: Graft): Module | undefined => doc.modules?.find((module) => module.role === "found");

// The donor to compare with: the chosen one, else the first module that is not the vehicle's.
export function donor_module(doc: Graft): Module | undefined {
  return doc.modules?.find((module) => module.role === "donor") ?? candidates(doc)[0];
}

export const candidates = (doc: Graft): Module[] => (doc.modules ?? []).filter((module) => module.role !== "found");

export const module_name = (module: Module): string => module.name || module.id;

export function connectors_of(doc: Graft, module: Module): Connector[] {
  const wanted = new Set(module.connectors ?? []);
  return (doc.connectors ?? []).filter((connector) => wanted.has(connector.id));
}

export const connector_name = (connector: Connector): string => connector.name || connector.id;

// Reports name a plug as people do; documents by id. Both are accepted.
export function find_connector(doc: Graft, module: Module, name: string): Connector | undefined {
  const own = connectors_of(doc, module);
  return own.find((connector) => connector_name(connector) === name) ?? own.find((connector) => connector.id === name);
}

// A cavity as people write it: "C3-1".
export const end_text = ({ connector, cavity }: CavityRef): string => (connector ? `${connector}-${cavity}` : cavity);

export const same_cavity = (a: CavityRef, b: CavityRef): boolean => a.connector === b.connector && a.cavity === b.cavity;

// A pin and where it is in the document.
export interface LocatedPin {
  module: Module;
  pin: Pin;
  pointer: string;
  test: { path: string; value: string }[]; // what must be there for a patch to apply
}

export function find_pin(doc: Graft, module: Module, connector: string, cavity: string): LocatedPin | undefined {
  const plug = find_connector(doc, module, connector);
  const m = (doc.modules ?? []).indexOf(module);
  const p = (module.pins ?? []).findIndex((pin) => pin.connector === plug?.id && pin.cavity === cavity);
  const pin = module.pins?.[p];
  if (!pin) return undefined;
  const pin_pointer = pointer("modules", m, "pins", p);
  const test = [
    { path: pointer("modules", m, "id"), value: module.id },
    { path: `${pin_pointer}/connector`, value: pin.connector },
    { path: `${pin_pointer}/cavity`, value: pin.cavity },
  ];
  return { module, pin, pointer: pin_pointer, test };
}

export interface LocatedWire {
  wire: Wire;
  pointer: string;
  added: boolean; // by the plan
}

export function find_wire(doc: Graft, id: string): LocatedWire | undefined {
  const index = (doc.wires ?? []).findIndex((wire) => wire.id === id);
  const wire = doc.wires?.[index];
  if (wire) return { wire, pointer: pointer("wires", index), added: false };
  const step = (doc.plan ?? []).findIndex((one) => one.added?.id === id);
  const added = doc.plan?.[step]?.added;
  return added ? { wire: added, pointer: pointer("plan", step, "added"), added: true } : undefined;
}

export const all_wires = (doc: Graft): Wire[] => [
  ...(doc.wires ?? []),
  ...(doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : [])),
];

// The name of a device or connector.
export function part_name(doc: Graft, id: string): string {
  const device = doc.devices?.find((one) => one.id === id);
  if (device) return device.name || device.id;
  const connector = doc.connectors?.find((one) => one.id === id);
  return connector ? connector_name(connector) : id;
}

// The cavity that an end id ("found.C3:1") names, if it is one of a connector.
export function cavity_of_end(doc: Graft, end: string): { connector: Connector; cavity: string } | undefined {
  const connector = doc.connectors?.find((one) => end.startsWith(`${one.id}:`));
  return connector && { connector, cavity: end.slice(connector.id.length + 1) };
}

export function source_title(doc: Graft, id: string | undefined): string {
  const source = doc.sources?.find((one) => one.id === id);
  // The folder of a file means nothing to the reader.
  return ((source?.title || id) ?? "").replace(/^.*[\\/]/, "");
}

// A sentence of a report that quotes files, without their folders.
export const without_folders = (doc: Graft, sentence: string): string =>
  (doc.sources ?? []).reduce(
    (text, { id, title }) => (title?.includes("/") ? text.replaceAll(title, source_title(doc, id)) : text),
    sentence,
  );

export const colour_letters = (colour: Colour | undefined): string =>
  colour?.base ? (colour.tracer ? `${colour.base}/${colour.tracer}` : colour.base) : "";

const class_of = (claim: Claim) => (claim.class && claim.class !== "unknown" ? claim.class : "");

function differ(values: string[]): boolean {
  return new Set(values.filter((value) => value !== "")).size > 1;
}

export interface Disagreement {
  pin: Pin;
  about: "class" | "colour";
}

// Where sources say different things about one pin and nobody has looked yet. Different signal names alone do not count.
export function disagreement(pin: Pin): Disagreement | undefined {
  const claims = pin.claims ?? [];
  if (claims.length < 2 || claims.some((claim) => claim.proved)) return undefined;
  if (differ(claims.map(class_of))) return { pin, about: "class" };
  if (differ(claims.map((claim) => colour_letters(claim.colour)))) return { pin, about: "colour" };
  return undefined;
}
