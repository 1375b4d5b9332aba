// Edits of the tables of the loom: functions from document to document, turned into one patch each. However many cells a
// person changes at once, it is one change and one undo.

import type { Graft, Json, PatchStep, Wire } from "../api_types";
import { patch_between } from "./patch_between";
import { clear_references, type ItemKind, remove_items, with_members } from "./references";

export type LoomList = Exclude<ItemKind, "modules">;

// A new value of one member of one item; undefined removes it.
export interface CellChange {
  id: string;
  member: string;
  value: Json | undefined;
}

type Item = { id: string } & Record<string, unknown>;

const items = (doc: Graft, list: LoomList): Item[] => (doc[list] ?? []) as unknown as Item[];

function by_item(changes: readonly CellChange[]): Map<string, Record<string, Json | undefined>> {
  const values = new Map<string, Record<string, Json | undefined>>();
  for (const { id, member, value } of changes) {
    const mine = values.get(id) ?? {};
    mine[member] = value;
    values.set(id, mine);
  }
  return values;
}

const set_in = (item: Item, values: Record<string, Json | undefined> | undefined): Item =>
  values ? with_members(item, values as Partial<Item>) : item;

// Sets cells. Wires that the plan adds are changed in the plan.
export function with_cells(doc: Graft, list: LoomList, changes: readonly CellChange[]): Graft {
  const values = by_item(changes);
  const next = with_members(doc, {
    [list]: doc[list] && items(doc, list).map((item) => set_in(item, values.get(item.id))),
  } as Partial<Graft>);
  if (list !== "wires" || !next.plan) return next;
  const plan = next.plan.map((step) => {
    if (!step.added) return step;
    return with_members(step, { added: set_in(step.added as unknown as Item, values.get(step.added.id)) as unknown as Wire });
  });
  return with_members(next, { plan });
}

export function with_added(doc: Graft, list: LoomList, added: readonly { id: string }[]): Graft {
  if (added.length === 0) return doc;
  return with_members(doc, { [list]: [...items(doc, list), ...added] } as Partial<Graft>);
}

function ids_in(doc: Graft, list: LoomList): Set<string> {
  const ids = new Set(items(doc, list).map((item) => item.id));
  if (list === "wires") for (const step of doc.plan ?? []) if (step.added) ids.add(step.added.id);
  // Wires end at devices and plugs by id: one id for both would be ambiguous.
  if (list === "devices") for (const one of doc.connectors ?? []) ids.add(one.id);
  if (list === "connectors") for (const one of doc.devices ?? []) ids.add(one.id);
  return ids;
}

// Makes ids that nothing has yet, of a text that a person typed or of a prefix.
export function id_maker(doc: Graft, list: LoomList): (wanted: string) => string {
  const taken = ids_in(doc, list);
  const prefix = { wires: "w", devices: "d", connectors: "C", places: "place", paths: "path" }[list];
  return (wanted) => {
    const base = wanted
      .trim()
      .replace(/[^\p{L}\p{N}]+/gu, "_")
      .replace(/^_+|_+$/g, "");
    let id = base;
    for (let count = 1; id === "" || taken.has(id); count += 1) id = base === "" ? `${prefix}${count}` : `${base}_${count + 1}`;
    taken.add(id);
    return id;
  };
}

// Copies of items, at the end of the list. A copy of a wire that the plan adds is one that the plan adds too.
export function with_copies(doc: Graft, list: LoomList, ids: ReadonlySet<string>): Graft {
  const make_id = id_maker(doc, list);
  const copy = (item: Item): Item => ({ ...item, id: make_id(item.id.replace(/_\d+$/, "")) });
  const next = with_added(
    doc,
    list,
    items(doc, list)
      .filter((item) => ids.has(item.id))
      .map(copy),
  );
  if (list !== "wires") return next;
  const steps = (doc.plan ?? []).flatMap((step) => {
    if (!step.added || !ids.has(step.added.id)) return [];
    return [{ ...step, added: copy(step.added as unknown as Item) as unknown as Wire }];
  });
  return steps.length > 0 ? with_members(next, { plan: [...(next.plan ?? []), ...steps] }) : next;
}

// A path is named by its id: a new name changes it wherever a wire follows the path.
export function with_path_renamed(doc: Graft, id: string, name: string): Graft {
  const wanted = id_maker(with_members(doc, { paths: doc.paths?.filter((path) => path.id !== id) }), "paths")(name);
  if (wanted === id) return doc;
  const along = (wire: Wire): Wire =>
    wire.along?.includes(id) ? { ...wire, along: wire.along.map((one) => (one === id ? wanted : one)) } : wire;
  return with_members(doc, {
    paths: doc.paths?.map((path) => (path.id === id ? { ...path, id: wanted } : path)),
    wires: doc.wires?.map(along),
    plan: doc.plan?.map((step) => (step.added ? with_members(step, { added: along(step.added) }) : step)),
  });
}

export const set_cells = (doc: Graft, list: LoomList, changes: readonly CellChange[]): PatchStep[] =>
  patch_between(doc, with_cells(doc, list, changes));

export const add_items = (doc: Graft, list: LoomList, added: readonly { id: string }[]): PatchStep[] =>
  patch_between(doc, with_added(doc, list, added));

export const duplicate_items = (doc: Graft, list: LoomList, ids: ReadonlySet<string>): PatchStep[] =>
  patch_between(doc, with_copies(doc, list, ids));

export const remove = (doc: Graft, kind: ItemKind, ids: ReadonlySet<string>): PatchStep[] =>
  patch_between(doc, remove_items(doc, kind, ids));

export const clear = (doc: Graft, kind: ItemKind, ids: ReadonlySet<string>): PatchStep[] =>
  patch_between(doc, clear_references(doc, kind, ids));

export const rename_path = (doc: Graft, id: string, name: string): PatchStep[] => patch_between(doc, with_path_renamed(doc, id, name));
