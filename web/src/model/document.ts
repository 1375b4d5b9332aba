// Questions to the document: which module, which plug, where a wire is kept.

import type { Claim, Colour, Connector, Graft, Module, Pin, Wire } from "../api_types";
import { pointer } from "./patch";

export const found_module = (doc: Graft): Module | undefined => doc.modules?.find((module) => module.role === "found");

// The donor compared with: the one chosen, else the first that is none of the vehicle's.
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

// Reports name a plug as people do; documents by id. Both are taken.
export function find_connector(doc: Graft, module: Module, name: string): Connector | undefined {
  const own = connectors_of(doc, module);
  return own.find((connector) => connector_name(connector) === name) ?? own.find((connector) => connector.id === name);
}

export interface PinPlace {
  module: Module;
  pin: Pin;
  at: string; // its pointer
  test: { path: string; value: string }[]; // what must stand there
}

export function find_pin(doc: Graft, module: Module, connector: string, cavity: string): PinPlace | undefined {
  const plug = find_connector(doc, module, connector);
  const m = (doc.modules ?? []).indexOf(module);
  const p = (module.pins ?? []).findIndex((pin) => pin.connector === plug?.id && pin.cavity === cavity);
  const pin = module.pins?.[p];
  if (!pin) return undefined;
  const at = pointer("modules", m, "pins", p);
  const test = [
    { path: pointer("modules", m, "id"), value: module.id },
    { path: `${at}/connector`, value: pin.connector },
    { path: `${at}/cavity`, value: pin.cavity },
  ];
  return { module, pin, at, test };
}

export interface WirePlace {
  wire: Wire;
  at: string;
  added: boolean; // it stands in the plan
}

export function find_wire(doc: Graft, id: string): WirePlace | undefined {
  const index = (doc.wires ?? []).findIndex((wire) => wire.id === id);
  const wire = doc.wires?.[index];
  if (wire) return { wire, at: pointer("wires", index), added: false };
  const step = (doc.plan ?? []).findIndex((one) => one.added?.id === id);
  const added = doc.plan?.[step]?.added;
  return added ? { wire: added, at: pointer("plan", step, "added"), added: true } : undefined;
}

export const all_wires = (doc: Graft): Wire[] => [
  ...(doc.wires ?? []),
  ...(doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : [])),
];

export function name_of_place(doc: Graft, id: string): string {
  const device = doc.devices?.find((one) => one.id === id);
  if (device) return device.name || device.id;
  const connector = doc.connectors?.find((one) => one.id === id);
  return connector ? connector_name(connector) : id;
}

export function source_title(doc: Graft, id: string | undefined): string {
  const source = doc.sources?.find((one) => one.id === id);
  // A file's folder says nothing to the reader.
  return ((source?.title || id) ?? "").replace(/^.*[\\/]/, "");
}

export const colour_letters = (colour: Colour | undefined): string =>
  colour?.base ? (colour.tracer ? `${colour.base}/${colour.tracer}` : colour.base) : "";

const kind_of = (claim: Claim) => (claim.class && claim.class !== "unknown" ? claim.class : "");

function differ(values: string[]): boolean {
  return new Set(values.filter((value) => value !== "")).size > 1;
}

export interface Disagreement {
  pin: Pin;
  about: "kind" | "colour" | "wording";
}

// Where sources say different things of one pin and nobody has looked yet. What they call it is the weakest sign.
export function disagreement(pin: Pin): Disagreement | undefined {
  const claims = pin.claims ?? [];
  if (claims.length < 2 || claims.some((claim) => claim.proved)) return undefined;
  if (differ(claims.map(kind_of))) return { pin, about: "kind" };
  if (differ(claims.map((claim) => colour_letters(claim.colour)))) return { pin, about: "colour" };
  return undefined;
}
