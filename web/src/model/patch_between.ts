// The patch that makes one document of another. Edits of the tables are functions from document to document; this finds
// what they changed, member by member, so that another device's change of something else still stands. Unchanged parts
// must be the same objects: they are skipped without a look inside.

import type { Graft, Json, PatchStep } from "../api_types";
import { pointer } from "./patch";

type Item = { [name: string]: Json };
type Key = (item: Item) => string;

const text_of = (value: Json | undefined): string => JSON.stringify(value) ?? "";
const equal = (a: Json | undefined, b: Json | undefined): boolean => a === b || text_of(a) === text_of(b);

// What tells the items of a list apart, and what a patch tests before it changes one.
interface ListKind {
  key: Key;
  tested: (item: Item) => string[]; // pointers below the item
  lists?: Record<string, ListKind>;
  inside?: string; // a member that is an item itself: its members are compared one by one
}

const by_id: ListKind = { key: (item) => String(item.id), tested: () => ["/id"] };
const pins: ListKind = { key: (pin) => text_of([pin.connector ?? "", pin.cavity ?? ""]), tested: () => ["/connector", "/cavity"] };
const steps: ListKind = {
  key: (step) => text_of([step.action ?? "", step.wire ?? "", (step.added as Item | undefined)?.id ?? ""]),
  tested: (step) => ["/action", ...(step.wire === undefined ? [] : ["/wire"]), ...(step.added ? ["/added/id"] : [])],
  inside: "added",
};
const whole: ListKind = { key: (item) => text_of(item), tested: () => [""] };
const conditions: ListKind = { key: (item) => String(item.name), tested: () => ["/name"] };

const lists: Record<string, ListKind> = {
  sources: by_id,
  connectors: by_id,
  modules: { ...by_id, lists: { pins } },
  devices: by_id,
  wires: by_id,
  places: by_id,
  paths: by_id,
  circuit_answers: by_id,
  plan: steps,
  shared_circuits: whole,
  conditions,
};

const at = (item: Item, below: string): Json | undefined => {
  let value: Json | undefined = item;
  for (const part of below.split("/").slice(1)) value = (value as Item | undefined)?.[part];
  return value;
};

const tests = (path: string, item: Item, kind: ListKind): PatchStep[] =>
  kind.tested(item).map((below) => ({ op: "test", path: `${path}${below}`, value: at(item, below) ?? null }));

// Two items with one key are told apart by their order.
function keys_of(list: readonly Item[], key: Key): string[] {
  const count = new Map<string, number>();
  return list.map((item) => {
    const name = key(item);
    const earlier = count.get(name) ?? 0;
    count.set(name, earlier + 1);
    return earlier === 0 ? name : `${name} ${earlier}`;
  });
}

function members(path: string, before: Item, after: Item, kind: ListKind | null): PatchStep[] {
  const names = new Set([...Object.keys(before), ...Object.keys(after)]);
  const steps: PatchStep[] = [];
  for (const name of names) {
    const [old, now] = [before[name], after[name]];
    if (equal(old, now)) continue;
    const place = `${path}${pointer(name)}`;
    const inner = kind?.lists?.[name];
    if (now === undefined) steps.push({ op: "remove", path: place });
    else if (inner && Array.isArray(old) && Array.isArray(now) && now.length > 0)
      steps.push(...list_patch(place, old as Item[], now as Item[], inner));
    else if (kind?.inside === name && old !== undefined) steps.push(...members(place, old as Item, now as Item, null));
    else steps.push({ op: "add", path: place, value: now });
  }
  // An id is changed last: until then the item is found by the old one.
  const is_key = (step: PatchStep) => kind?.tested(before).some((below) => step.path === `${path}${below}`) ?? false;
  return [...steps.filter((step) => !is_key(step)), ...steps.filter(is_key)];
}

// Which item of the old list each item of the new one was: the one with its key, else the one that stood there.
function partners(before: readonly Item[], after: readonly Item[], kind: ListKind): (number | undefined)[] {
  const old_keys = keys_of(before, kind.key);
  const new_keys = keys_of(after, kind.key);
  const places = new Map(old_keys.map((key, index) => [key, index]));
  const still_there = new Set(new_keys);
  return new_keys.map((key, index) => {
    const place = places.get(key);
    if (place !== undefined) return place;
    const same_length = before.length === after.length;
    return same_length && !still_there.has(old_keys[index] ?? "") ? index : undefined;
  });
}

const ascending = (list: number[]): boolean => list.every((value, index) => index === 0 || value > (list[index - 1] ?? -1));

function list_patch(path: string, before: readonly Item[], after: readonly Item[], kind: ListKind): PatchStep[] {
  const partner = partners(before, after, kind);
  const kept = partner.filter((place) => place !== undefined);
  if (!ascending(kept)) return [{ op: "add", path, value: after as Json }];
  const stays = new Set(kept);
  const removals = before
    .map((item, index) => ({ item, place: `${path}/${index}`, index }))
    .filter(({ index }) => !stays.has(index))
    .reverse() // from the back, so that the indexes before stay valid
    .flatMap(({ item, place }): PatchStep[] => [...tests(place, item, kind), { op: "remove", path: place }]);
  const rest = after.flatMap((item, index): PatchStep[] => {
    const place = `${path}/${index}`;
    const old = before[partner[index] ?? -1];
    if (!old) return [{ op: "add", path: place, value: item }];
    if (old === item) return [];
    const changes = members(place, old, item, kind);
    return changes.length > 0 ? [...tests(place, old, kind), ...changes] : [];
  });
  return [...removals, ...rest];
}

// Removes every item of a list, and the list: the document keeps no empty one.
function emptied(path: string, before: readonly Item[], kind: ListKind): PatchStep[] {
  return [...before.flatMap((item, index) => tests(`${path}/${index}`, item, kind)), { op: "remove", path }];
}

export function patch_between(before: Graft, after: Graft): PatchStep[] {
  const [old_doc, new_doc] = [before as unknown as Item, after as unknown as Item];
  return [...new Set([...Object.keys(old_doc), ...Object.keys(new_doc)])].flatMap((name): PatchStep[] => {
    const [old, now] = [old_doc[name], new_doc[name]];
    if (old === now) return [];
    const path = pointer(name);
    const kind = lists[name];
    if (!kind || !Array.isArray(old)) {
      if (equal(old, now)) return [];
      return now === undefined || (kind && text_of(now) === "[]") ? [{ op: "remove", path }] : [{ op: "add", path, value: now }];
    }
    const left = (now ?? []) as Item[];
    return left.length === 0 ? emptied(path, old as Item[], kind) : list_patch(path, old as Item[], left, kind);
  });
}
