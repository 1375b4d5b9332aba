// Corrections of a module: its pins, its name and role, copies of it. What sources said stays; what a person says of a
// pin's signal, type or colour becomes one more claim, marked as proved.

import type { CavityRef, Claim, Connector, Graft, Json, Module, PatchStep, Pin, Role } from "../api_types";
import { id_maker, with_added } from "./loom_edits";
import { patch_between } from "./patch_between";
import { with_members } from "./references";

export const pin_key = (pin: CavityRef): string => JSON.stringify([pin.connector, pin.cavity]);

export interface PinChange {
  pin: string; // its key
  member: string;
  value: Json | undefined;
}

const facts: readonly string[] = ["signal", "class", "colour"];

// What a person said before is replaced: a fact typed cell by cell is one claim.
function with_claim(pin: Pin): Pin {
  const before = (pin.claims ?? []).filter((claim) => claim.source !== undefined || !claim.proved).map(({ proved: _, ...rest }) => rest);
  const claim: Claim = { signal: pin.signal ?? "", class: pin.class ?? "unknown", proved: true };
  if (pin.colour) claim.colour = pin.colour;
  return with_members(pin, { claims: [...before, claim], doubts: undefined });
}

function with_values(pin: Pin, values: Record<string, Json | undefined>): Pin {
  const next = with_members(pin, values as Partial<Pin>);
  return next !== pin && Object.keys(values).some((member) => facts.includes(member)) ? with_claim(next) : next;
}

const with_module = (doc: Graft, id: string, change: (module: Module) => Module): Graft =>
  with_members(doc, { modules: doc.modules?.map((module) => (module.id === id ? change(module) : module)) });

// What is said about a cavity follows its pin.
function with_refs_moved(doc: Graft, moves: ReadonlyMap<string, CavityRef>): Graft {
  const moved = (ref: CavityRef): CavityRef => moves.get(pin_key(ref)) ?? ref;
  if (moves.size === 0) return doc;
  return with_members(doc, {
    circuit_answers: doc.circuit_answers?.map((one) => with_members(one, { found: moved(one.found), donor: moved(one.donor) })),
    conditions: doc.conditions?.map((one) =>
      one.driven?.some((ref) => moves.has(pin_key(ref))) ? { ...one, driven: one.driven.map(moved) } : one,
    ),
  });
}

const cavities_of = (plug: Connector): string[] => (plug.rows ?? []).flatMap((row) => row.cavities ?? []).filter(Boolean);

// A cavity that the guessed rows of a plug lack is added to their last row.
function with_cavities(doc: Graft, refs: readonly CavityRef[]): Graft {
  const change = (plug: Connector): Connector => {
    const last = plug.rows?.at(-1);
    if (!plug.rows_guessed || !last) return plug;
    const have = new Set(cavities_of(plug));
    const lacking = refs.filter((ref) => ref.connector === plug.id && !have.has(ref.cavity)).map((ref) => ref.cavity);
    if (lacking.length === 0) return plug;
    return { ...plug, rows: [...(plug.rows ?? []).slice(0, -1), { ...last, cavities: [...(last.cavities ?? []), ...new Set(lacking)] }] };
  };
  const connectors = doc.connectors?.map(change);
  return connectors?.some((plug, index) => plug !== doc.connectors?.[index]) ? with_members(doc, { connectors }) : doc;
}

export function with_pins(doc: Graft, module: string, changes: readonly PinChange[]): Graft {
  const values = new Map<string, Record<string, Json | undefined>>();
  for (const { pin, member, value } of changes) values.set(pin, { ...values.get(pin), [member]: value });
  const moves = new Map<string, CavityRef>();
  const next = with_module(doc, module, (one) =>
    with_members(one, {
      pins: one.pins?.map((pin) => {
        const mine = values.get(pin_key(pin));
        if (!mine) return pin;
        const changed = with_values(pin, mine);
        if (pin_key(changed) !== pin_key(pin)) moves.set(pin_key(pin), { connector: changed.connector, cavity: changed.cavity });
        return changed;
      }),
    }),
  );
  return with_cavities(with_refs_moved(next, moves), [...moves.values()]);
}

// Why the changes cannot be made; empty if they can.
export function why_not_pins(doc: Graft, module: Module, changes: readonly PinChange[], plug_name: (id: string) => string): string {
  if (!changes.some(({ member }) => member === "connector" || member === "cavity")) return "";
  const after = with_pins(doc, module.id, changes);
  const pins = after.modules?.find((one) => one.id === module.id)?.pins ?? [];
  const seen = new Set<string>();
  for (const pin of pins) {
    const where = `${plug_name(pin.connector)}-${pin.cavity}`;
    if (seen.has(pin_key(pin))) return `${where} is described by another pin already.`;
    seen.add(pin_key(pin));
    const plug = after.connectors?.find((one) => one.id === pin.connector);
    const have = plug ? cavities_of(plug) : [];
    const is_changed = changes.some((change) => change.value === pin.cavity || change.value === pin.connector);
    if (is_changed && have.length > 0 && !have.includes(pin.cavity))
      return `${plug_name(pin.connector)} has no cavity ${pin.cavity}. Add it to the shape of the plug first.`;
  }
  return "";
}

// A cavity of the plug that no pin describes yet.
export function free_cavity(doc: Graft, module: Module, connector: string): string {
  const taken = new Set((module.pins ?? []).filter((pin) => pin.connector === connector).map((pin) => pin.cavity));
  const plug = doc.connectors?.find((one) => one.id === connector);
  const drawn = plug ? cavities_of(plug).find((cavity) => !taken.has(cavity)) : undefined;
  if (drawn !== undefined) return drawn;
  let number = 1;
  while (taken.has(String(number))) number += 1;
  return String(number);
}

function with_pin_added(doc: Graft, module: string, connector: string, cavity: string): Graft {
  if (connector === "") return doc;
  const next = with_module(doc, module, (one) => ({ ...one, pins: [...(one.pins ?? []), { connector, cavity }] }));
  return with_cavities(next, [{ connector, cavity }]);
}

function without_pins(doc: Graft, module: string, keys: ReadonlySet<string>): Graft {
  const is_gone = (ref: CavityRef) => keys.has(pin_key(ref));
  const answers = doc.circuit_answers?.filter((one) => !is_gone(one.found) && !is_gone(one.donor));
  const next = with_module(doc, module, (one) => {
    const pins = one.pins?.filter((pin) => !is_gone(pin));
    return with_members(one, { pins: pins?.length ? pins : undefined });
  });
  return with_members(next, {
    circuit_answers: answers?.length ? answers : undefined,
    conditions: next.conditions?.map((one) => {
      const driven = one.driven?.filter((ref) => !is_gone(ref));
      return driven?.length === one.driven?.length ? one : with_members(one, { driven: driven?.length ? driven : undefined });
    }),
  });
}

// Nothing of the loom belongs to the copy: it has plugs of its own.
function with_module_copy(doc: Graft, id: string): Graft {
  const module = doc.modules?.find((one) => one.id === id);
  if (!module) return doc;
  const taken = new Set((doc.modules ?? []).map((one) => one.id));
  let copy_id = `${id}_copy`;
  for (let count = 2; taken.has(copy_id); count += 1) copy_id = `${id}_copy${count}`;
  const make_id = id_maker(doc, "connectors");
  const own = new Map((module.connectors ?? []).map((plug) => [plug, make_id(`${copy_id}_${plug.replace(`${id}.`, "")}`)]));
  const plugs = (doc.connectors ?? [])
    .filter((plug) => own.has(plug.id))
    .map((plug) => with_members({ ...plug, id: own.get(plug.id) ?? plug.id }, { mates: undefined }));
  const copy: Module = {
    ...module,
    id: copy_id,
    name: `${module.name || module.id} (copy)`,
    role: "other",
    ...(module.connectors && { connectors: module.connectors.map((plug) => own.get(plug) ?? plug) }),
    ...(module.pins && { pins: module.pins.map((pin) => ({ ...pin, connector: own.get(pin.connector) ?? pin.connector })) }),
  };
  return with_members(with_added(doc, "connectors", plugs), { modules: [...(doc.modules ?? []), copy] });
}

// One module is the vehicle's own and one is the donor: another one of that role becomes a candidate.
function with_role(doc: Graft, id: string, role: Role): Graft {
  return with_members(doc, {
    modules: doc.modules?.map((module) => {
      if (module.id === id) return with_members(module, { role });
      return role !== "other" && module.role === role ? with_members(module, { role: "other" }) : module;
    }),
  });
}

export const set_pins = (doc: Graft, module: string, changes: readonly PinChange[]): PatchStep[] =>
  patch_between(doc, with_pins(doc, module, changes));
export const add_pin = (doc: Graft, module: string, connector: string, cavity: string): PatchStep[] =>
  patch_between(doc, with_pin_added(doc, module, connector, cavity));
export const remove_pins = (doc: Graft, module: string, keys: ReadonlySet<string>): PatchStep[] =>
  patch_between(doc, without_pins(doc, module, keys));
export const duplicate_module = (doc: Graft, id: string): PatchStep[] => patch_between(doc, with_module_copy(doc, id));
export const set_role = (doc: Graft, id: string, role: Role): PatchStep[] => patch_between(doc, with_role(doc, id, role));
export const set_module_name = (doc: Graft, id: string, name: string): PatchStep[] =>
  patch_between(
    doc,
    with_module(doc, id, (module) => with_members(module, { name: name || undefined })),
  );
export const set_plug = (doc: Graft, id: string, values: Partial<{ [K in keyof Connector]: Connector[K] | undefined }>): PatchStep[] =>
  patch_between(
    doc,
    with_members(doc, { connectors: doc.connectors?.map((plug) => (plug.id === id ? with_members(plug, values) : plug)) }),
  );
