// What refers to an item of the document, in sentences, and the document without those references.

import type { CavityRef, Condition, End, Graft, Module, PlanStep, Wire } from "../api_types";
import { connector_name, module_name } from "./document";

export type ItemKind = "wires" | "devices" | "connectors" | "places" | "paths" | "modules";

type Ids = ReadonlySet<string>;

// A list without the items that a function drops; undefined where nothing is left: the document keeps no empty list.
// Items that stay as they are stay the same objects.
function mapped<T>(list: readonly T[] | undefined, change: (item: T) => T | null): T[] | undefined {
  if (!list) return undefined;
  const next = list.map(change).filter((item) => item !== null);
  if (next.length === list.length && next.every((item, index) => item === list[index])) return list as T[];
  return next.length > 0 ? next : undefined;
}

// Sets members; those that are undefined are left out. The same object if nothing changes.
export function with_members<T extends object>(item: T, values: { [K in keyof T]?: T[K] | undefined }): T {
  const names = Object.keys(values) as (keyof T)[];
  if (names.every((name) => item[name] === values[name])) return item;
  const next = { ...item };
  for (const name of names) {
    const value = values[name];
    if (value === undefined) delete next[name];
    else next[name] = value;
  }
  return next;
}

const wire_text = (wire: Wire): string => `the wire "${wire.signal || wire.id}"`;

const ends_at = (end: End | undefined, ids: Ids): boolean => end?.at !== undefined && ids.has(end.at);

function open_ends<T extends { from?: End; to?: End }>(item: T, ids: Ids): T {
  const from = ends_at(item.from, ids) ? undefined : item.from;
  const to = ends_at(item.to, ids) ? undefined : item.to;
  return with_members<{ from?: End; to?: End }>(item, { from, to }) as T;
}

// A step that moves nothing any more is dropped.
function step_without_ends(step: PlanStep, ids: Ids): PlanStep | null {
  const next = open_ends(step, ids);
  if (next.action === "move" && next !== step) return null;
  return next.added ? with_members(next, { added: open_ends(next.added, ids) }) : next;
}

const without_ends = (doc: Graft, ids: Ids): Graft =>
  with_members(doc, {
    wires: mapped(doc.wires, (wire) => open_ends(wire, ids)),
    plan: mapped(doc.plan, (step) => step_without_ends(step, ids)),
  });

const without = (list: string[] | undefined, ids: Ids) => mapped(list, (one) => (ids.has(one) ? null : one));

const in_conditions = (doc: Graft, change: (condition: Condition) => Condition): Graft =>
  with_members(doc, { conditions: mapped(doc.conditions, change) });

function without_device(doc: Graft, ids: Ids): Graft {
  const open = without_ends(doc, ids);
  const pins = (module: Module) =>
    with_members(module, {
      pins: mapped(module.pins, (pin) => (pin.far_end && ids.has(pin.far_end) ? with_members(pin, { far_end: undefined }) : pin)),
    });
  return in_conditions(with_members(open, { modules: mapped(open.modules, pins) }), (condition) =>
    with_members(condition, { worked: without(condition.worked, ids), removed: without(condition.removed, ids) }),
  );
}

const at_plug = (ref: CavityRef, ids: Ids): boolean => ids.has(ref.connector);

function without_connector(doc: Graft, ids: Ids): Graft {
  const open = without_ends(doc, ids);
  const module = (one: Module) =>
    with_members(one, {
      connectors: without(one.connectors, ids),
      pins: mapped(one.pins, (pin) => (ids.has(pin.connector) ? null : pin)),
    });
  const next = with_members(open, {
    modules: mapped(open.modules, module),
    connectors: mapped(open.connectors, (one) => (one.mates && ids.has(one.mates) ? with_members(one, { mates: undefined }) : one)),
    circuit_answers: mapped(open.circuit_answers, (one) => (at_plug(one.found, ids) || at_plug(one.donor, ids) ? null : one)),
  });
  return in_conditions(next, (condition) =>
    with_members(condition, {
      driven: mapped(condition.driven, (ref) => (at_plug(ref, ids) ? null : ref)),
      unplugged: without(condition.unplugged, ids),
    }),
  );
}

const without_wire = (doc: Graft, ids: Ids): Graft =>
  with_members(doc, { plan: mapped(doc.plan, (step) => (step.wire !== undefined && ids.has(step.wire) ? null : step)) });

const without_place = (doc: Graft, ids: Ids): Graft =>
  with_members(doc, {
    devices: mapped(doc.devices, (one) => (one.place && ids.has(one.place) ? with_members(one, { place: undefined }) : one)),
    paths: mapped(doc.paths, (path) =>
      with_members(path, {
        from: path.from && ids.has(path.from) ? undefined : path.from,
        to: path.to && ids.has(path.to) ? undefined : path.to,
      }),
    ),
  });

function without_path(doc: Graft, ids: Ids): Graft {
  const wire = (one: Wire) => with_members(one, { along: without(one.along, ids) });
  return with_members(doc, {
    wires: mapped(doc.wires, wire),
    plan: mapped(doc.plan, (step) => (step.added ? with_members(step, { added: wire(step.added) }) : step)),
  });
}

// The document without any reference to the items.
export function clear_references(doc: Graft, kind: ItemKind, ids: Ids): Graft {
  if (kind === "devices") return without_device(doc, ids);
  if (kind === "connectors") return without_connector(doc, ids);
  if (kind === "wires") return without_wire(doc, ids);
  if (kind === "places") return without_place(doc, ids);
  if (kind === "paths") return without_path(doc, ids);
  return doc;
}

// The document without the items, and without what refers to them. A wire of the plan goes with its step.
export function remove_items(doc: Graft, kind: ItemKind, ids: Ids): Graft {
  if (kind === "modules") return remove_modules(doc, ids);
  const cleared = clear_references(doc, kind, ids);
  const left = mapped(cleared[kind] as { id: string }[] | undefined, (item) => (ids.has(item.id) ? null : item));
  const next = with_members(cleared, { [kind]: left } as Partial<Graft>);
  if (kind !== "wires") return next;
  return with_members(next, { plan: mapped(next.plan, (step) => (step.added && ids.has(step.added.id) ? null : step)) });
}

// A module goes with its plugs, and with the sources that only it cites.
function remove_modules(doc: Graft, ids: Ids): Graft {
  const leaving = (doc.modules ?? []).filter((module) => ids.has(module.id));
  const staying = (doc.modules ?? []).filter((module) => !ids.has(module.id));
  const kept_plugs = new Set(staying.flatMap((module) => module.connectors ?? []));
  const plugs = leaving.flatMap((module) => module.connectors ?? []).filter((id) => !kept_plugs.has(id));
  const cited = (modules: Module[]) =>
    new Set(modules.flatMap((module) => (module.pins ?? []).flatMap((pin) => (pin.claims ?? []).map((claim) => claim.source))));
  const [gone, kept] = [cited(leaving), cited(staying)];
  const next = remove_items(doc, "connectors", new Set(plugs));
  return with_members(next, {
    modules: mapped(next.modules, (module) => (ids.has(module.id) ? null : module)),
    sources: mapped(next.sources, (source) => (gone.has(source.id) && !kept.has(source.id) ? null : source)),
  });
}

const plural = (count: number, one: string, many: string): string => (count === 1 ? one : `${count} ${many}`);

function wire_sentences(doc: Graft, ids: Ids, matches: (wire: Wire) => boolean, what: string): string[] {
  const found = (doc.wires ?? []).filter((wire) => !ids.has(wire.id) && matches(wire)).map(wire_text);
  const added = (doc.plan ?? []).flatMap((step) =>
    step.added && matches(step.added) ? [`${wire_text(step.added)}, which the plan adds,`] : [],
  );
  return [...found, ...added].map((text) => `${text} ${what}`);
}

const in_condition = (doc: Graft, uses: (condition: Condition) => boolean, what: string): string[] =>
  (doc.conditions ?? []).filter(uses).map((condition) => `the condition "${condition.name}" ${what}`);

const any = (list: readonly string[] | undefined, ids: Ids): boolean => (list ?? []).some((one) => ids.has(one));

function about_ends(doc: Graft, ids: Ids): string[] {
  const moves = (doc.plan ?? []).filter((step) => step.action === "move" && (ends_at(step.from, ids) || ends_at(step.to, ids)));
  return [
    ...wire_sentences(doc, ids, (wire) => ends_at(wire.from, ids) || ends_at(wire.to, ids), "ends there"),
    ...(moves.length > 0
      ? [`${plural(moves.length, "a move", "moves")} of the plan ${moves.length === 1 ? "begins or ends" : "begin or end"} there`]
      : []),
  ];
}

function about_connector(doc: Graft, ids: Ids): string[] {
  const modules = (doc.modules ?? []).filter((module) => any(module.connectors, ids));
  const answers = (doc.circuit_answers ?? []).filter((one) => at_plug(one.found, ids) || at_plug(one.donor, ids));
  return [
    ...modules.map((module) => {
      const pins = (module.pins ?? []).filter((pin) => ids.has(pin.connector)).length;
      return `it belongs to ${module_name(module)}, with ${plural(pins, "one pin", "pins")}`;
    }),
    ...about_ends(doc, ids),
    ...(doc.connectors ?? [])
      .filter((one) => one.mates && ids.has(one.mates) && !ids.has(one.id))
      .map((one) => `plug ${connector_name(one)} mates with it`),
    ...(answers.length > 0 ? [`${plural(answers.length, "an answer", "answers")} about matched circuits`] : []),
    ...in_condition(doc, (one) => any(one.unplugged, ids), "has it unplugged"),
    ...in_condition(doc, (one) => (one.driven ?? []).some((ref) => at_plug(ref, ids)), "drives outputs in it"),
  ];
}

function about_device(doc: Graft, ids: Ids): string[] {
  const pins = (doc.modules ?? []).flatMap((module) => (module.pins ?? []).filter((pin) => pin.far_end && ids.has(pin.far_end)));
  return [
    ...about_ends(doc, ids),
    ...pins.map((pin) => `the pin "${pin.signal || pin.cavity}" goes to it`),
    ...in_condition(doc, (one) => any(one.worked, ids), "operates it"),
    ...in_condition(doc, (one) => any(one.removed, ids), "has it out of its socket"),
  ];
}

function about_place(doc: Graft, ids: Ids): string[] {
  const devices = (doc.devices ?? [])
    .filter((one) => one.place && ids.has(one.place))
    .map((one) => `${one.name || one.id} is mounted there`);
  const paths = (doc.paths ?? []).filter((path) => (path.from && ids.has(path.from)) || (path.to && ids.has(path.to)));
  return [...devices, ...paths.map((path) => `the path "${path_name(path.id)}" begins or ends there`)];
}

// A path has no name but its id, which people choose.
export const path_name = (id: string): string => id.replace(/_/g, " ");

function about_wire(doc: Graft, ids: Ids): string[] {
  const what = { move: "moves it", retire: "takes it out", add: "adds it" };
  return (doc.plan ?? []).flatMap((step) => (step.wire !== undefined && ids.has(step.wire) ? [`the plan ${what[step.action]}`] : []));
}

function about_module(doc: Graft, ids: Ids): string[] {
  const plugs = (doc.modules ?? []).filter((module) => ids.has(module.id)).flatMap((module) => module.connectors ?? []);
  const own = new Set(plugs);
  return about_connector(with_members(doc, { modules: (doc.modules ?? []).filter((module) => !ids.has(module.id)) }), own);
}

// What refers to the items, each in a few words; empty if nothing does.
export function references_to(doc: Graft, kind: ItemKind, ids: Ids): string[] {
  if (kind === "devices") return about_device(doc, ids);
  if (kind === "connectors") return about_connector(doc, ids);
  if (kind === "places") return about_place(doc, ids);
  if (kind === "paths") return wire_sentences(doc, new Set(), (wire) => any(wire.along, ids), "follows it");
  if (kind === "wires") return about_wire(doc, ids);
  return about_module(doc, ids);
}
