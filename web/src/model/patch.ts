// Changes of a document as RFC 6902 patches. Lists are addressed by index, so each change first tests the id at that
// index: after a change by another device it can never reach the wrong item.

import type { Graft, Json, PatchStep } from "../api_types";

const escaped = (part: string) => part.replace(/~/g, "~0").replace(/\//g, "~1");

export function pointer(...parts: (string | number)[]): string {
  return parts.map((part) => `/${escaped(String(part))}`).join("");
}

// Sets a member, or removes it if the value is undefined. `id` must be that of the item at the pointer `item`.
export function set_member(item: string, id: string, member: string, value: Json | undefined): PatchStep[] {
  const test: PatchStep = { op: "test", path: `${item}/id`, value: id };
  const path = `${item}/${escaped(member)}`;
  return [test, value === undefined ? { op: "remove", path } : { op: "add", path, value }];
}

type Container = { [name: string]: Json } | Json[];

const unescaped = (part: string) => part.replace(/~1/g, "/").replace(/~0/g, "~");

function walk(document: Json, parts: string[]): Container {
  let at: Json | undefined = document;
  for (const part of parts) {
    if (Array.isArray(at)) at = at[Number(part)];
    else if (at !== null && typeof at === "object") at = at[part];
    else at = undefined;
  }
  if (at === null || typeof at !== "object") throw new RangeError(`nothing at /${parts.join("/")}`);
  return at;
}

function same(a: Json | undefined, b: Json | undefined): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function step_in_list(list: Json[], key: string, step: PatchStep): void {
  const index = key === "-" ? list.length : Number(key);
  if (step.op === "test") {
    if (!same(list[index], step.value)) throw new RangeError(`${step.path} has another value`);
  } else if (step.op === "remove") list.splice(index, 1);
  else list.splice(index, step.op === "replace" ? 1 : 0, step.value ?? null);
}

function step_in_members(members: { [name: string]: Json }, key: string, step: PatchStep): void {
  if (step.op === "test") {
    if (!same(members[key], step.value)) throw new RangeError(`${step.path} has another value`);
  } else if (step.op === "remove") delete members[key];
  else members[key] = step.value ?? null;
}

// The document with the patch applied, or null if it does not apply. The given document stays unchanged.
export function patched(document: Graft, patch: PatchStep[]): Graft | null {
  const copy = structuredClone(document) as unknown as Json;
  try {
    for (const step of patch) {
      const parts = step.path.split("/").slice(1).map(unescaped);
      const key = parts.pop() ?? "";
      const into = walk(copy, parts);
      if (Array.isArray(into)) step_in_list(into, key, step);
      else step_in_members(into, key, step);
    }
  } catch {
    return null;
  }
  return copy as unknown as Graft;
}
