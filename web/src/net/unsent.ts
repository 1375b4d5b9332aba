// Edits that could not be sent because the connection was lost: kept on this device until they are.

import { signal } from "@preact/signals";
import type { Graft, Json, PatchStep } from "../api_types";
import { draft_of, drafts_named, drop_draft, keep_draft } from "../drafts";

export interface UnsentEdit {
  text: string; // what it changes, for people
  patch: PatchStep[];
}

const field = "unsent";

// Counts up with each change of the list, so that what shows it is rendered again.
const changed = signal(0);

export function unsent_edits(graft: string): readonly UnsentEdit[] {
  changed.value; // what reads the list follows it
  return draft_of<UnsentEdit[]>(graft, field, []) ?? [];
}

// How many of each graft, for all that have some.
export function all_unsent(): Map<string, number> {
  changed.value;
  return new Map(drafts_named(field).map((graft) => [graft, (draft_of<UnsentEdit[]>(graft, field, []) ?? []).length]));
}

export function keep_unsent(graft: string, edit: UnsentEdit): void {
  keep_draft(graft, field, [...(draft_of<UnsentEdit[]>(graft, field, []) ?? []), edit]);
  changed.value += 1;
}

export function drop_first_unsent(graft: string): void {
  const rest = (draft_of<UnsentEdit[]>(graft, field, []) ?? []).slice(1);
  if (rest.length > 0) keep_draft(graft, field, rest);
  else drop_draft(graft, field);
  changed.value += 1;
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (value === null || typeof value !== "object") return value;
  const members = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(members.map(([key, one]) => [key, sorted(one)]));
}

const same = (a: unknown, b: unknown) => JSON.stringify(sorted(a)) === JSON.stringify(sorted(b));

function at(doc: Graft, parts: string[]): Json | undefined {
  let value = doc as unknown as Json | undefined;
  for (const part of parts) {
    const key = part.replace(/~1/g, "/").replace(/~0/g, "~");
    if (Array.isArray(value)) value = value[Number(key)];
    else value = value !== null && typeof value === "object" ? value[key] : undefined;
  }
  return value;
}

// Whether the program has carried it out although its answer was lost.
export function is_there_already(doc: Graft, patch: readonly PatchStep[]): boolean {
  return patch.every(({ op, path, value }) => {
    if (op === "test") return true;
    const parts = path.split("/").slice(1);
    if (op === "remove") return at(doc, parts) === undefined;
    if (parts.at(-1) !== "-") return same(at(doc, parts), value);
    const list = at(doc, parts.slice(0, -1));
    return Array.isArray(list) && list.some((one) => same(one, value));
  });
}
