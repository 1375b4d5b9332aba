// What a person has typed and not saved yet: kept on this device, so that it survives another stage, a reload, a lost
// connection and a phone that closes the page. Each draft belongs to a graft and a field.
//
// Fails   without storage, or with a full one, a draft lasts as long as the page
// Cost    one record of localStorage a draft; the oldest go when there are too many

import { useState } from "preact/hooks";

const prefix = "loomgraft.draft/";
const most_drafts = 200;
const most_characters = 1_500_000; // of all drafts together; browsers give a page about five million

interface StoredDraft {
  at: number; // when it was typed, to know the oldest
  value: unknown;
}

const key_of = (graft: string, field: string) => `${prefix}${encodeURIComponent(graft)}/${field}`;

// What this page has typed, also where nothing can be stored.
const in_page = new Map<string, unknown>();

function stored(key: string): StoredDraft | null {
  try {
    const text = localStorage.getItem(key);
    const found: unknown = text === null ? null : JSON.parse(text);
    return found !== null && typeof found === "object" && "at" in found && "value" in found ? (found as StoredDraft) : null;
  } catch {
    return null;
  }
}

const all_keys = (): string[] => Object.keys(localStorage).filter((key) => key.startsWith(prefix));

function make_room(for_key: string, size: number): void {
  const others = all_keys()
    .filter((key) => key !== for_key)
    .map((key) => ({ key, at: stored(key)?.at ?? 0, size: localStorage.getItem(key)?.length ?? 0 }))
    .sort((a, b) => b.at - a.at);
  let total = size;
  others.forEach((one, index) => {
    total += one.size;
    if (total > most_characters || index + 1 >= most_drafts) localStorage.removeItem(one.key);
  });
}

export function keep_draft(graft: string, field: string, value: unknown): void {
  const key = key_of(graft, field);
  in_page.set(key, value);
  try {
    const text = JSON.stringify({ at: Date.now(), value } satisfies StoredDraft);
    const is_new = localStorage.getItem(key) === null;
    if (is_new || text.length > most_characters / 10) make_room(key, text.length);
    if (text.length <= most_characters) localStorage.setItem(key, text);
    else localStorage.removeItem(key);
  } catch {
    // as above: it lasts as long as the page
  }
}

// The draft, if there is one of the same kind of value as `like`.
export function draft_of<T>(graft: string, field: string, like: T): T | null {
  const key = key_of(graft, field);
  const value = in_page.has(key) ? in_page.get(key) : stored(key)?.value;
  if (value === undefined || value === null || typeof value !== typeof like || Array.isArray(value) !== Array.isArray(like)) return null;
  return value as T;
}

// The grafts that have a draft of this field.
export function drafts_named(field: string): string[] {
  let keys = [...in_page.keys()];
  try {
    keys = [...new Set([...keys, ...all_keys()])];
  } catch {
    // nothing is stored
  }
  const end = `/${field}`;
  return keys.filter((key) => key.endsWith(end)).map((key) => decodeURIComponent(key.slice(prefix.length, -end.length)));
}

export function drop_draft(graft: string, field: string): void {
  const key = key_of(graft, field);
  in_page.delete(key);
  try {
    localStorage.removeItem(key);
  } catch {
    // nothing is stored
  }
}

// For a graft that is new under this name: what was typed in an earlier one of that name does not belong to it.
export function drop_drafts(graft: string): void {
  const start = key_of(graft, "");
  for (const key of [...in_page.keys()]) if (key.startsWith(start)) in_page.delete(key);
  try {
    for (const key of all_keys()) if (key.startsWith(start)) localStorage.removeItem(key);
  } catch {
    // nothing is stored
  }
}

// A state that is kept while it differs from the empty one. `done` drops it: it is saved, or no longer wanted.
export function use_draft<T>(graft: string, field: string, empty: T): [value: T, set: (value: T) => void, done: () => void] {
  const key = key_of(graft, field);
  const [held, set_held] = useState<{ key: string; value: T }>(() => ({ key, value: draft_of(graft, field, empty) ?? empty }));
  // The same field of another item: its own draft.
  const value = held.key === key ? held.value : (draft_of(graft, field, empty) ?? empty);
  const set = (next: T) => {
    if (JSON.stringify(next) === JSON.stringify(empty)) drop_draft(graft, field);
    else keep_draft(graft, field, next);
    set_held({ key, value: next });
  };
  const done = () => {
    drop_draft(graft, field);
    set_held({ key, value: empty });
  };
  return [value, set, done];
}
